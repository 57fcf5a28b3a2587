package org.tallywire.line;

import java.nio.charset.StandardCharsets;
import java.util.stream.Collectors;
import java.util.stream.Stream;
import org.tallywire.api.Driver;
import org.tallywire.kit.DriverConformance;

class LineConformanceTest extends DriverConformance {

  @Override
  protected Driver driver() {
    return new LineDriver();
  }

  @Override
  protected byte[] recording() {
    return Stream.of(
            Wire.HELLO,
            Wire.CHANNEL_1,
            Wire.CHANNEL_2,
            "<ok req=3 first=1 last=0",
            Wire.reading(1),
            Wire.reading(2))
        .map(body -> Wire.line(body) + "\n")
        .collect(Collectors.joining())
        .getBytes(StandardCharsets.US_ASCII);
  }
}
