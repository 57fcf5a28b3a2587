package org.tallywire.line;

import java.math.BigDecimal;
import java.nio.charset.StandardCharsets;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.stream.Collectors;
import java.util.stream.Stream;
import org.tallywire.api.Example;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/** What an instrument says from the opening of the link on; {@code shared/vectors} has far more. */
final class LineExamples {

  private LineExamples() {}

  static List<Example> all() {
    return List.of(
        new Example(
            "two readings of a turns ratio",
            List.of(
                turn(
                    ">hello req=1 version=1.1",
                    "<hello req=1 version=1.1 maker=Invented model=bench%20tester serial=007"
                        + " firmware=0.1 boot=b1 line=240 store=500 beat=2000"),
                turn(
                    ">channels req=2",
                    "<channel req=2 n=1 of=2 ch=1 quantity=turns-ratio unit=1",
                    "<channel req=2 n=2 of=2 ch=2 quantity=excitation-current unit=mA"),
                turn(
                    ">send req=3 boot=b1 after=0 credit=15",
                    "<ok req=3 first=1 last=0",
                    reading("1", "46.2010"),
                    reading("2", "45.0459"))),
            List.of(expected("1", "46.2010"), expected("2", "45.0459")),
            Optional.empty()));
  }

  private static Example.Turn turn(String asked, String... answers) {
    return new Example.Turn(
        bytes(line(asked)),
        bytes(Stream.of(answers).map(LineExamples::line).collect(Collectors.joining())));
  }

  private static byte[] bytes(String text) {
    return text.getBytes(StandardCharsets.US_ASCII);
  }

  private static String reading(String number, String ratio) {
    return "!reading boot=b1 seq=%s at=2026-01-15T08:00:00.250Z clock=free status=ok"
            .formatted(number)
        + " test=turns-ratio windings=HV-LV phase=A tap=%s v1=%s v2=over-range"
            .formatted(number, ratio);
  }

  private static String line(String body) {
    byte[] bytes = bytes(body);
    return "%s*%04X\n".formatted(body, Crc16.of(bytes, 0, bytes.length));
  }

  private static Example.Expected expected(String tap, String ratio) {
    Map<String, String> labels = new LinkedHashMap<>();
    labels.put("test", "turns-ratio");
    labels.put("windings", "HV-LV");
    labels.put("phase", "A");
    labels.put("tap", tap);
    return new Example.Expected(
        labels,
        List.of(
            new Value.Measured(Quantity.TURNS_RATIO, new BigDecimal(ratio), Unit.ONE),
            new Value.Missing(
                Quantity.EXCITATION_CURRENT, Unit.MILLIAMPERE, Value.Reason.OVER_RANGE)),
        Reading.Status.OK);
  }
}
