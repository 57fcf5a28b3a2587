package org.tallywire.scpi;

import java.nio.charset.StandardCharsets;
import org.tallywire.api.Driver;
import org.tallywire.kit.DriverConformance;

class ScpiConformanceTest extends DriverConformance {

  @Override
  protected Driver driver() {
    return new ScpiDriver();
  }

  @Override
  protected byte[] recording() {
    return "Example,RM-2,0042,1.3\n0\n1,+2.54020E+01,0.00731,\"A\",OK\n"
        .getBytes(StandardCharsets.US_ASCII);
  }
}
