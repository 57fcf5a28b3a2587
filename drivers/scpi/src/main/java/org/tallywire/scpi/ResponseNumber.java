package org.tallywire.scpi;

import java.math.BigDecimal;
import java.util.Optional;
import java.util.regex.Pattern;
import org.tallywire.api.Decimals;
import org.tallywire.api.Value;

/**
 * Decimal numeric response data: NR1, NR2 and NR3 of IEEE 488.2-1992, 8.7.2 to 8.7.4. The sign of
 * an exponent may be left out, as SCPI-1999 itself writes 9.9E37.
 */
final class ResponseNumber {

  /**
   * From here on a number stands for none. SCPI says 9.9E37; an instrument that computes in single
   * precision may print a little less.
   */
  private static final BigDecimal INFINITE = new BigDecimal("9.89E37");

  /** Not-a-number is 9.91E37, give or take the rounding of single precision. */
  private static final BigDecimal NONE_FROM = new BigDecimal("9.909E37");

  private static final BigDecimal NONE_TO = new BigDecimal("9.911E37");

  private static final int LONGEST = 64;
  private static final Pattern GRAMMAR =
      Pattern.compile("[+-]?[0-9]+(\\.[0-9]+(E[+-]?[0-9]{1,3})?)?");

  private ResponseNumber() {}

  /**
   * Returns the number or what it stands for, or nothing if the text is not of the grammar or has
   * more figures than a record carries.
   */
  static Optional<Element> parse(String text) {
    if (text.length() > LONGEST || !GRAMMAR.matcher(text).matches()) {
      return Optional.empty();
    }
    BigDecimal number = new BigDecimal(text);
    if (number.abs().compareTo(INFINITE) >= 0) {
      return Optional.of(new Element.NoNumber(reason(number)));
    }
    BigDecimal plain = number.scale() < 0 ? number.setScale(0) : number;
    return Decimals.parse(plain.toPlainString()).map(same -> new Element.Numeric(text, plain));
  }

  private static Value.Reason reason(BigDecimal number) {
    if (number.signum() < 0) {
      return Value.Reason.UNDER_RANGE;
    }
    boolean none = number.compareTo(NONE_FROM) >= 0 && number.compareTo(NONE_TO) <= 0;
    return none ? Value.Reason.INVALID : Value.Reason.OVER_RANGE;
  }
}
