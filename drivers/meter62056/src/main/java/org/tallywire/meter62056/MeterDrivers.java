package org.tallywire.meter62056;

import java.util.List;
import org.tallywire.api.Driver;
import org.tallywire.api.DriverSource;

/** Offers the driver. */
public final class MeterDrivers implements DriverSource {

  @Override
  public List<Driver> drivers() {
    return List.of(new MeterDriver());
  }
}
