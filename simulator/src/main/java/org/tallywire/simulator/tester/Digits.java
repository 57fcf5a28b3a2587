package org.tallywire.simulator.tester;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;

/** How a display writes numbers: trailing zeros kept, because digits say the resolution (L-22a). */
final class Digits {

  private Digits() {}

  /** Returns a positive number with that many significant digits. */
  static String significant(double value, int digits) {
    BigDecimal rounded =
        new BigDecimal(value).round(new MathContext(digits, RoundingMode.HALF_EVEN));
    int beforePoint = rounded.precision() - rounded.scale();
    return rounded.setScale(Math.max(0, digits - beforePoint)).toPlainString();
  }

  /** Returns a number with that many decimals. */
  static String fixed(double value, int decimals) {
    return new BigDecimal(value).setScale(decimals, RoundingMode.HALF_EVEN).toPlainString();
  }
}
