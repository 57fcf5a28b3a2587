package org.tallywire.format;

import com.fasterxml.jackson.databind.node.ArrayNode;
import com.fasterxml.jackson.databind.node.ObjectNode;
import com.fasterxml.jackson.databind.util.RawValue;
import java.math.BigDecimal;
import java.time.Instant;
import java.util.HexFormat;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.function.Consumer;
import org.tallywire.api.ClockQuality;
import org.tallywire.api.Reading;
import org.tallywire.api.RecordedReading;
import org.tallywire.api.Value;

/**
 * Readings as SenML packs in JSON (RFC 8428). It says less than the record: numbers are meant as
 * doubles and change their unit, so the resolution is lost; a value without a number, or in a unit
 * that {@link SenmlUnit} does not have, is left out; labels are in the name alone. So each pack
 * carries the record's id and the instrument's status as text, and the record stays the master.
 *
 * <p>Names are {@code <station>:<source>:<test>/<windings>/<phase>/<tap>/<quantity>}, of the labels
 * those that there are, so a step has the same name each time; a byte that SenML does not allow in
 * a name, an underscore included, is {@code _HH}. The time is the instrument's if its clock is
 * synchronised, else that of arrival.
 */
public final class Senml {

  /** Smaller ones would mean seconds from now (RFC 8428, 4.5.3). */
  private static final long FIRST_ABSOLUTE = 1L << 28;

  private static final List<String> NAMING =
      List.of("test", "windings", "phase", "tap", "on-load-tap");

  private Senml() {}

  /**
   * Returns the pack of a reading, or nothing if its time lies before July 1978, which SenML takes
   * for a time from now.
   *
   * @param leftOut hears of every value that is left out, why
   */
  public static Optional<byte[]> pack(RecordedReading recorded, Consumer<String> leftOut) {
    return records(recorded, leftOut).map(Json::bytes);
  }

  private static Optional<ArrayNode> records(RecordedReading recorded, Consumer<String> leftOut) {
    Reading reading = recorded.reading();
    Instant at =
        reading
            .takenAt()
            .filter(taken -> reading.clock() == ClockQuality.SYNCHRONISED)
            .orElse(reading.receivedAt());
    if (at.getEpochSecond() < FIRST_ABSOLUTE) {
      leftOut.accept("a time before July 1978");
      return Optional.empty();
    }
    String path = path(reading.labels());
    ArrayNode pack = Json.MAPPER.createArrayNode();
    ObjectNode first = pack.addObject();
    first.put("bn", base(recorded));
    first.putRawValue("bt", new RawValue(seconds(at)));
    first.put("n", path + "record").put("vs", recorded.id());
    pack.addObject().put("n", path + "status").put("vs", reading.status().word());
    for (Value value : reading.values()) {
      Optional<SenmlUnit> unit = SenmlUnit.of(value.unit());
      if (!(value instanceof Value.Measured measured)) {
        leftOut.accept("no number");
      } else if (unit.isEmpty()) {
        leftOut.accept("unit " + value.unit().code());
      } else {
        ObjectNode node = pack.addObject();
        node.put("n", path + value.quantity().name()).put("u", unit.get().symbol());
        node.putRawValue("v", new RawValue(unit.get().number(measured.number())));
      }
    }
    return Optional.of(pack);
  }

  private static String base(RecordedReading recorded) {
    String source = recorded.id().split(":", 2)[0];
    String station = allowed(recorded.station(), true);
    return station + ":" + allowed(source, false) + ":";
  }

  private static String path(Map<String, String> labels) {
    StringBuilder path = new StringBuilder();
    for (String label : NAMING) {
      String value = labels.get(label);
      if (value != null && !value.isEmpty()) {
        path.append(allowed(value, false)).append('/');
      }
    }
    return path.toString();
  }

  /** A name begins with a letter or digit (RFC 8428, 4.5.1); one that does not gets an x. */
  private static String allowed(String text, boolean begins) {
    StringBuilder out = new StringBuilder();
    for (byte b : text.getBytes(java.nio.charset.StandardCharsets.UTF_8)) {
      char c = (char) (b & 0xFF);
      boolean alphanumeric =
          (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9');
      if (begins && out.isEmpty() && !alphanumeric) {
        out.append('x');
      }
      if (alphanumeric || c == '-' || c == '.') {
        out.append(c);
      } else {
        out.append('_').append(HexFormat.of().withUpperCase().toHexDigits(b));
      }
    }
    return out.toString();
  }

  private static String seconds(Instant at) {
    return BigDecimal.valueOf(at.toEpochMilli(), 3).stripTrailingZeros().toPlainString();
  }
}
