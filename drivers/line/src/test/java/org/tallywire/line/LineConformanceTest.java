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
            "<channel req=2 n=1 of=2 ch=1 quantity=turns-ratio unit=1",
            "<channel req=2 n=2 of=2 ch=2 quantity=excitation-current unit=mA",
            "<ok req=3",
            Wire.reading(1),
            Wire.reading(2))
        .map(body -> Wire.line(body) + "\n")
        .collect(Collectors.joining())
        .getBytes(StandardCharsets.US_ASCII);
  }
}
