package org.tallywire.scpi;

import java.math.BigDecimal;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;

/** What one element of a reading means, by the station's setting {@code fields}. */
sealed interface Field {

  /** The instrument's own number for the reading. */
  record Numbering() implements Field {}

  /** Of no interest. */
  record Passed() implements Field {}

  /** The instrument's word on the reading. */
  record Status() implements Field {}

  /** A label. */
  record Label(String name) implements Field {}

  /**
   * A value.
   *
   * @param factor by which it is multiplied
   * @param optional whether the reading goes without it where the instrument says not-a-number
   */
  record Measured(Quantity quantity, Unit unit, Optional<BigDecimal> factor, boolean optional)
      implements Field {}

  /** How a field is written, for messages. */
  String GRAMMAR =
      "number, status, label NAME, - (passed over) or QUANTITY UNIT, behind which may stand"
          + " \"times FACTOR\" and \"optional\"";

  /**
   * Reads one field as it is written in a configuration.
   *
   * @throws IllegalArgumentException with a sentence
   */
  static Field of(String written) {
    return switch (written) {
      case "number" -> new Numbering();
      case "status" -> new Status();
      case "-" -> new Passed();
      default -> written.startsWith("label ") ? label(written) : measured(written);
    };
  }

  private static Field label(String written) {
    Matcher label = Written.LABEL.matcher(written);
    if (!label.matches()) {
      throw new IllegalArgumentException(
          "\"%s\": a label's name is 1 to 32 of a-z 0-9 - with a letter first".formatted(written));
    }
    return new Label(label.group(1));
  }

  private static Field measured(String written) {
    Matcher value = Written.MEASURED.matcher(written);
    if (!value.matches()) {
      throw new IllegalArgumentException("\"%s\" is not %s".formatted(written, GRAMMAR));
    }
    Optional<BigDecimal> factor = Optional.ofNullable(value.group(3)).map(BigDecimal::new);
    if (factor.isPresent() && factor.get().signum() == 0) {
      throw new IllegalArgumentException("\"%s\": a factor of 0".formatted(written));
    }
    return new Measured(
        new Quantity(value.group(1)), new Unit(value.group(2)), factor, value.group(4) != null);
  }

  /** The patterns. */
  final class Written {
    private static final Pattern LABEL = Pattern.compile("label ([a-z][a-z0-9-]{0,31})");
    private static final Pattern MEASURED =
        Pattern.compile(
            "([a-z][a-z0-9-]{0,63}) ([!-~]{1,32}?)(?: times (-?[0-9]{1,12}(?:\\.[0-9]{1,12})?))?( optional)?");

    private Written() {}
  }
}
