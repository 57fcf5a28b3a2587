package org.tallywire.simulator.scenario;

import java.math.BigDecimal;
import java.util.List;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * The amounts that may be written for a key: a measure, its limits and an example.
 *
 * @param from least, in the unit of the measure's constant
 * @param to greatest, likewise
 * @param zero whether it may be zero
 * @param example as it could stand in a file
 */
record Range(Measure measure, BigDecimal from, BigDecimal to, boolean zero, String example) {

  private static final String GAPS = "[ \u00a0\u2009\u202f]";
  private static final int LONGEST = 40;
  private static final Pattern AMOUNT =
      Pattern.compile(
          "([+-]?)([0-9]{1,3}(?:%s[0-9]{3})+|[0-9]+)(\\.[0-9]+)?%s?([^0-9\\s].*|)"
              .formatted(GAPS, GAPS));

  /** Limits in the unit of the measure's constant. */
  static Range of(Measure measure, String from, String to, String example) {
    return new Range(measure, new BigDecimal(from), new BigDecimal(to), true, example);
  }

  /** Limits to either side of zero, which itself would be no fault. */
  static Range around(Measure measure, String reach, String example) {
    BigDecimal limit = new BigDecimal(reach);
    return new Range(measure, limit.negate(), limit, false, example);
  }

  /** Returns the amount that was written; tells a problem and returns nothing if it is none. */
  Optional<BigDecimal> read(Written written) {
    String text = written.text().replace('\u2212', '-').replace('\u2126', 'Ω').replace('μ', 'µ');
    Matcher matcher = AMOUNT.matcher(text);
    if (text.matches(".*[0-9],[0-9].*")) {
      return refuse(
          written,
          "has a comma; write a point before decimals, and a space or nothing between thousands");
    }
    if (text.length() > LONGEST || !matcher.matches()) {
      return refuse(written, "is not a %s%s".formatted(measure.word(), write()));
    }
    String digits = matcher.group(2).replaceAll(GAPS, "");
    String decimals = matcher.group(3) == null ? "" : matcher.group(3);
    String unit = matcher.group(4).strip();
    Optional<BigDecimal> amount =
        measure.of(new BigDecimal(matcher.group(1) + digits + decimals), unit);
    if (amount.isEmpty()) {
      return refuse(written, unit.isEmpty() ? "has no unit" + write() : notAUnit(unit));
    }
    return within(written, amount.get());
  }

  private Optional<BigDecimal> within(Written written, BigDecimal amount) {
    if (amount.signum() == 0 && !zero) {
      return refuse(written, "changes nothing" + write());
    }
    if (amount.compareTo(from) < 0 || amount.compareTo(to) > 0) {
      return refuse(written, "is out of range; write " + limits());
    }
    return Optional.of(amount);
  }

  /** Returns the limits in words. */
  String limits() {
    return "%s to %s".formatted(measure.write(from.doubleValue()), measure.write(to.doubleValue()));
  }

  private String notAUnit(String unit) {
    return measure.units().isEmpty()
        ? "has a unit, but none belongs here" + write()
        : "has the unit \"%s\"; write %s%s"
            .formatted(unit, Wording.choice(unitsToTell()), ", for example " + example);
  }

  private List<String> unitsToTell() {
    return measure.units().stream().limit(measure == Measure.RESISTANCE ? 6 : 5).toList();
  }

  private String write() {
    return "; write for example " + example;
  }

  private static Optional<BigDecimal> refuse(Written written, String why) {
    written.refuse(why);
    return Optional.empty();
  }
}
