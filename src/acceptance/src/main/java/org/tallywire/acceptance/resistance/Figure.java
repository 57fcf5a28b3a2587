package org.tallywire.acceptance.resistance;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;

/** Small steps that the figures of this package share. */
final class Figure {

  static final BigDecimal HUNDRED = BigDecimal.valueOf(100);
  static final BigDecimal TWO = BigDecimal.valueOf(2);

  private Figure() {}

  /** Returns the value, which has to be greater than zero. */
  static BigDecimal positive(String what, BigDecimal value) {
    if (value.signum() <= 0) {
      throw new IllegalArgumentException(
          "%s is %s: it has to be greater than zero".formatted(what, plain(value)));
    }
    return value;
  }

  /** Returns a computed number with the given count of significant digits. */
  static BigDecimal rounded(double value, int digits) {
    return new BigDecimal(value).round(new MathContext(digits, RoundingMode.HALF_EVEN));
  }

  static String plain(BigDecimal value) {
    return value.toPlainString();
  }
}
