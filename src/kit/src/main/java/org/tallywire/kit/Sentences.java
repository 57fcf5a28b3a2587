package org.tallywire.kit;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.stream.Collectors;
import org.tallywire.api.Example.Expected;
import org.tallywire.api.FrameException;
import org.tallywire.api.LinkException;
import org.tallywire.api.Reading;
import org.tallywire.api.Value;

/** Readings, bytes and faults in words. */
final class Sentences {

  private static final int MOST_BYTES = 80;

  private Sentences() {}

  /** Returns bytes in quotes, what cannot be seen as {@code \r}, {@code \n}, {@code \xHH}. */
  static String bytes(byte[] bytes) {
    StringBuilder out = new StringBuilder("\"");
    for (int i = 0; i < Math.min(MOST_BYTES, bytes.length); i++) {
      switch (bytes[i]) {
        case '\r' -> out.append("\\r");
        case '\n' -> out.append("\\n");
        case '\t' -> out.append("\\t");
        case '\\' -> out.append("\\\\");
        default -> {
          boolean plain = bytes[i] >= ' ' && bytes[i] <= '~';
          out.append(plain ? "" + (char) bytes[i] : "\\x%02X".formatted(bytes[i] & 0xFF));
        }
      }
    }
    return out.append(bytes.length > MOST_BYTES ? "…\"" : "\"").toString();
  }

  /** Returns the last of the bytes likewise. */
  static String lastOf(byte[] bytes) {
    int most = 24;
    return bytes.length <= most
        ? bytes(bytes)
        : bytes(Arrays.copyOfRange(bytes, bytes.length - most, bytes.length))
            + " (%d bytes)".formatted(bytes.length);
  }

  static String expected(List<Expected> expected) {
    return expected.isEmpty()
        ? "no reading"
        : expected.stream()
            .map(e -> reading(e.values(), e.labels(), e.status()))
            .collect(Collectors.joining("; "));
  }

  static String readings(List<Reading> readings) {
    return readings.isEmpty()
        ? "no reading"
        : readings.stream().map(Sentences::reading).collect(Collectors.joining("; "));
  }

  /** Returns what to write where numbers are the same and their digits are not; else nothing. */
  static String digits(Value wanted, Value given) {
    return wanted instanceof Value.Measured w
            && given instanceof Value.Measured g
            && w.number().compareTo(g.number()) == 0
            && w.number().scale() != g.number().scale()
        ? ": it has all digits that were sent, a factor applied: write %s for %s"
            .formatted(g.text(), w.text())
        : "";
  }

  /** Returns a list with one more. */
  static List<String> with(List<String> some, String more) {
    List<String> all = new ArrayList<>(some);
    all.add(more);
    return all;
  }

  static String reading(Reading reading) {
    return reading(reading.values(), reading.labels(), reading.status());
  }

  private static String reading(
      List<Value> values, Map<String, String> labels, Reading.Status status) {
    String text =
        values.stream().map(Sentences::value).collect(Collectors.joining(", "))
            + labels.entrySet().stream()
                .sorted(Map.Entry.comparingByKey())
                .map(e -> " %s=%s".formatted(e.getKey(), e.getValue()))
                .collect(Collectors.joining());
    return status == Reading.Status.OK ? text : text + ", " + status.word();
  }

  static String value(Value value) {
    String what =
        value instanceof Value.Measured measured
            ? measured.text()
            : ((Value.Missing) value).reason().word();
    String factor =
        value instanceof Value.Measured measured && measured.factor().isPresent()
            ? " (times %s)".formatted(measured.factor().get().toPlainString())
            : "";
    return "%s %s %s%s".formatted(value.quantity(), what, value.unit(), factor);
  }

  /** Returns the faults that came, each once, behind a text that ends a sentence. */
  static String faults(PlayedDriver driver) {
    Map<String, Integer> counted = new HashMap<>();
    List<String> texts = new ArrayList<>();
    for (FrameException fault : driver.faults) {
      texts.add("%s: %s".formatted(fault.code().word(), fault.getMessage()));
    }
    for (LinkException end : driver.ends) {
      texts.add("%s: %s".formatted(end.code().word(), end.getMessage()));
    }
    texts.forEach(text -> counted.merge(text, 1, Integer::sum));
    return texts.isEmpty()
        ? "no fault was told"
        : "faults: " + texts.stream().distinct().limit(3).collect(Collectors.joining("; "));
  }
}
