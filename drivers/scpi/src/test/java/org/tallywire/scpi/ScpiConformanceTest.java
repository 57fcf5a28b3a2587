package org.tallywire.scpi;

import org.tallywire.api.Driver;
import org.tallywire.kit.DriverConformance;

class ScpiConformanceTest extends DriverConformance {

  @Override
  protected Driver driver() {
    return new ScpiDriver();
  }
}
