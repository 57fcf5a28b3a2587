package org.tallywire.acceptance.figure;

import java.math.BigDecimal;
import java.math.MathContext;

/** How far one figure is from another, in percent of the other. */
public final class Percent {

  private Percent() {}

  /**
   * Returns (measured − expected) / expected × 100, rounded once, to 34 digits.
   *
   * @param expected not zero
   */
  public static BigDecimal off(BigDecimal measured, BigDecimal expected) {
    return measured.subtract(expected).movePointRight(2).divide(expected, MathContext.DECIMAL128);
  }
}
