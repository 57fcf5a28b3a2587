package org.tallywire.simulator.scenario;

import java.math.BigDecimal;
import java.math.MathContext;
import java.time.Duration;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.jspecify.annotations.Nullable;

/**
 * What a number in a scenario is, and the units that it can be written with. The unit named first
 * is the usual one. Between thousands a space may stand (ordinary, thin or not to be broken).
 */
enum Measure {
  /** In kilovolt-amperes. */
  POWER("power", "kVA 1, VA 0.001, MVA 1000"),
  /** In volts. */
  VOLTAGE("voltage", "V 1, kV 1000"),
  /** In amperes. */
  CURRENT("current", "A 1, mA 0.001"),
  /** In ohms. */
  RESISTANCE(
      "resistance",
      "Ω 1, mΩ 0.001, µΩ 0.000001, Ohm 1, mOhm 0.001, uOhm 0.000001, ohm 1, mohm 0.001, uohm"
          + " 0.000001"),
  /** As a part: 0.01 for 1 %. */
  SHARE("share", "% 0.01, ppm 0.000001"),
  /** As a percentage: 1 for 1 %. */
  PERCENTAGE("percentage", "% 1, ppm 0.0001"),
  /** In hertz. */
  FREQUENCY("frequency", "Hz 1"),
  /** In seconds. */
  TIME("time", "s 1, ms 0.001, min 60, h 3600, d 86400"),
  /** In degrees Celsius. */
  TEMPERATURE("temperature", "°C 1, degC 1"),
  /** In kelvin. */
  DIFFERENCE("temperature difference", "K 1"),
  /** In tesla. */
  FLUX_DENSITY("flux density", "T 1"),
  /** Without a unit. */
  NUMBER("number", "");

  private static final MathContext FIVE_DIGITS = new MathContext(5);
  private static final BigDecimal MILLI = new BigDecimal("0.001");

  /** A number that is no part of a word, and its unit if it has one. */
  private static final Pattern AMOUNT =
      Pattern.compile(
          "(?<![\\w.+-])([+-]?[0-9]+(?:\\.[0-9]+)?)(?![\\w.])"
              + "(?: (%|ppm|°C|[µm]?Ω|[a-zA-Z]{1,5})(?=[ ,}]|$))?");

  private final String word;
  private final String factors;

  /**
   * A measure.
   *
   * @param factors each unit and what it is in the unit of the constant
   */
  Measure(String word, String factors) {
    this.word = word;
    this.factors = factors;
  }

  private Map<String, BigDecimal> table() {
    Map<String, BigDecimal> table = new LinkedHashMap<>();
    for (String unit : factors.isEmpty() ? new String[0] : factors.split(", ", -1)) {
      int space = unit.indexOf(' ');
      table.put(unit.substring(0, space), new BigDecimal(unit.substring(space + 1)));
    }
    return table;
  }

  /** Returns what it is, in a word. */
  String word() {
    return word;
  }

  /** Returns every unit that may be written. */
  Set<String> units() {
    return table().keySet();
  }

  /** Returns the number in the unit that the constant names; nothing for a unit that is unknown. */
  Optional<BigDecimal> of(BigDecimal number, String unit) {
    if (factors.isEmpty()) {
      return unit.isEmpty() ? Optional.of(number) : Optional.empty();
    }
    return Optional.ofNullable(table().get(unit)).map(number::multiply);
  }

  /**
   * Returns it as a person would write it, exactly. Times of a second and more and resistances take
   * the largest unit in which they are whole, everything else the usual unit.
   */
  String write(double amount) {
    BigDecimal exact = BigDecimal.valueOf(amount);
    if (factors.isEmpty()) {
      return plain(exact);
    }
    Map<String, BigDecimal> units = table();
    String unit = units.keySet().iterator().next();
    if (exact.signum() != 0 && (this == TIME || this == RESISTANCE)) {
      BigDecimal largest = BigDecimal.ZERO;
      for (Map.Entry<String, BigDecimal> each : units.entrySet()) {
        BigDecimal factor = each.getValue();
        boolean possible = this == RESISTANCE || factor.compareTo(BigDecimal.ONE) >= 0;
        if (possible && factor.compareTo(largest) > 0 && exact.remainder(factor).signum() == 0) {
          largest = factor;
          unit = each.getKey();
        }
      }
    }
    BigDecimal factor = units.getOrDefault(unit, BigDecimal.ONE);
    // Exact: every factor is a whole number or a power of ten, and is asked to divide evenly.
    return plain(exact.divide(factor)) + " " + unit;
  }

  /**
   * Returns a text in which every amount has at most five significant digits: a number with a unit,
   * or with decimals. Whole numbers without a unit are counts and stay as they are.
   */
  static String rounded(String text) {
    return AMOUNT
        .matcher(text)
        .replaceAll(
            found ->
                Matcher.quoteReplacement(
                    rounded(new BigDecimal(found.group(1)), found.group(2), found.group())));
  }

  private static String rounded(BigDecimal number, @Nullable String unit, String written) {
    if (unit == null) {
      return number.scale() > 0 ? plain(number.round(FIVE_DIGITS)) : written;
    }
    for (Measure measure : values()) {
      Optional<BigDecimal> amount = measure.of(number, unit);
      if (measure != SHARE && amount.isPresent()) {
        return measure.near(amount.get().round(FIVE_DIGITS));
      }
    }
    return written;
  }

  /** As {@link #write(double)}, but resistances take the unit in which they are 1 and more. */
  private String near(BigDecimal amount) {
    if (this != RESISTANCE) {
      return write(amount.doubleValue());
    }
    BigDecimal size = amount.abs();
    String unit =
        size.signum() == 0 || size.compareTo(BigDecimal.ONE) >= 0
            ? "Ω"
            : size.compareTo(MILLI) >= 0 ? "mΩ" : "µΩ";
    return plain(amount.divide(table().getOrDefault(unit, BigDecimal.ONE))) + " " + unit;
  }

  /** Returns a time as a person would write it, to the millisecond. */
  static String write(Duration time) {
    return TIME.write(time.toMillis() / 1000.0);
  }

  private static String plain(BigDecimal number) {
    return number.signum() == 0 ? "0" : number.stripTrailingZeros().toPlainString();
  }
}
