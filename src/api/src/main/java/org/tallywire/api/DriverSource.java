package org.tallywire.api;

import java.util.List;

/** Offers drivers; found through {@link java.util.ServiceLoader}. */
public interface DriverSource {

  /** Returns the drivers on offer, none twice. */
  List<Driver> drivers();
}
