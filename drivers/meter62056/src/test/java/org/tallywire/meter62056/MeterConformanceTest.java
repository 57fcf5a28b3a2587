package org.tallywire.meter62056;

import org.tallywire.api.Driver;
import org.tallywire.kit.DriverConformance;

class MeterConformanceTest extends DriverConformance {

  @Override
  protected Driver driver() {
    return new MeterDriver();
  }

  @Override
  protected byte[] recording() {
    return Line.bytes(
        "/XYZ5METER-1\r\n" + Line.message("0.0.0(12345678)\r\n1-0:1.8.0(000581.161*kWh)\r\n"));
  }
}
