package org.tallywire.meter62056;

import org.tallywire.api.Driver;
import org.tallywire.kit.DriverConformance;

class MeterConformanceTest extends DriverConformance {

  @Override
  protected Driver driver() {
    return new MeterDriver();
  }
}
