package org.example.thermometer;

import java.util.List;
import org.tallywire.api.Driver;
import org.tallywire.api.DriverSource;

/**
 * Offers the driver. The file {@code META-INF/services/org.tallywire.api.DriverSource} names this
 * class, and so the bridge finds it in the jar.
 */
public final class ThermometerDrivers implements DriverSource {

  @Override
  public List<Driver> drivers() {
    return List.of(new ThermometerDriver(ThermometerDriver.USUAL_INTERVAL));
  }
}
