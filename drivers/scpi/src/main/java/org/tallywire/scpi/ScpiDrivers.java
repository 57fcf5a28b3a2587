package org.tallywire.scpi;

import java.util.List;
import org.tallywire.api.Driver;
import org.tallywire.api.DriverSource;

/** Offers the driver. */
public final class ScpiDrivers implements DriverSource {

  @Override
  public List<Driver> drivers() {
    return List.of(new ScpiDriver());
  }
}
