package org.tallywire.line;

import java.util.List;
import org.tallywire.api.Driver;
import org.tallywire.api.DriverSource;

/** Offers the driver of the line protocol. */
public final class LineDrivers implements DriverSource {

  @Override
  public List<Driver> drivers() {
    return List.of(new LineDriver());
  }
}
