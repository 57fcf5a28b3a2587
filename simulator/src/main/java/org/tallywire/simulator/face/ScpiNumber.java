package org.tallywire.simulator.face;

import java.math.BigDecimal;
import java.util.Locale;
import java.util.regex.Pattern;

/**
 * Response data: IEEE 488.2, 8.7; the numbers that stand for none: SCPI-1999 volume 1, 7.2.1.4 and
 * 7.2.1.5 (from memory). Every digit that comes in goes out, and no other.
 */
final class ScpiNumber {

  static final String INFINITY = "+9.9E+37";
  static final String NOT_A_NUMBER = "+9.91E+37";

  private static final Pattern DECIMAL = Pattern.compile("-?[0-9]+(\\.[0-9]+)?");

  private ScpiNumber() {}

  /**
   * Returns a value of a measurement as NR3, or the number that stands for a word.
   *
   * @param value a decimal or a word of L-22a of {@code shared/protocol.md}
   * @param power of ten that brings it to the unit of the answer
   */
  static String nr3(String value, int power) {
    if (!DECIMAL.matcher(value).matches()) {
      return value.equals("over-range") ? INFINITY : NOT_A_NUMBER;
    }
    return nr3(new BigDecimal(value), power, value.startsWith("-"));
  }

  private static String nr3(BigDecimal value, int power, boolean negative) {
    String digits = value.unscaledValue().abs().toString();
    int exponent = digits.length() - 1 - value.scale();
    if (value.signum() == 0) {
      digits = "0".repeat(value.scale() + 1);
      exponent = 0;
    }
    String fraction = digits.length() == 1 ? "0" : digits.substring(1);
    return String.format(
        Locale.ROOT,
        "%s%s.%sE%+03d",
        negative ? "-" : "+",
        digits.charAt(0),
        fraction,
        exponent + power);
  }

  /** Returns string response data: in double quotes, a quote inside twice (8.7.8). */
  static String string(String text) {
    return '"' + text.replace("\"", "\"\"") + '"';
  }

  /** Returns definite length arbitrary block response data (8.7.9) of ASCII text. */
  static String block(String text) {
    String length = Integer.toString(text.length());
    return "#" + length.length() + length + text;
  }
}
