package org.tallywire.acceptance.winding;

import java.math.BigDecimal;
import java.math.BigInteger;
import java.math.MathContext;
import org.apache.commons.math3.fraction.BigFraction;

/** Exact fractions from and to decimals. */
final class Fractions {

  /** More than the 34 digits that are handed out. */
  private static final MathContext WORKING = new MathContext(50);

  private Fractions() {}

  static BigFraction of(BigDecimal decimal) {
    return decimal.scale() <= 0
        ? new BigFraction(decimal.toBigIntegerExact())
        : new BigFraction(decimal.unscaledValue(), BigInteger.TEN.pow(decimal.scale()));
  }

  /** Returns a fraction to 50 digits. */
  static BigDecimal decimal(BigFraction fraction) {
    return new BigDecimal(fraction.getNumerator())
        .divide(new BigDecimal(fraction.getDenominator()), WORKING);
  }

  /** Returns the square root of a fraction to 49 digits or more. */
  static BigDecimal root(BigFraction square) {
    return decimal(square).sqrt(WORKING);
  }
}
