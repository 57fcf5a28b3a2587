package org.tallywire.line;

import org.tallywire.api.Driver;
import org.tallywire.kit.DriverConformance;

class LineConformanceTest extends DriverConformance {

  @Override
  protected Driver driver() {
    return new LineDriver();
  }
}
