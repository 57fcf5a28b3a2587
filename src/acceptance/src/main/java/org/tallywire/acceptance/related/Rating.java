package org.tallywire.acceptance.related;

import java.math.BigDecimal;
import java.math.MathContext;
import org.tallywire.acceptance.figure.Roots;

/**
 * What a transformer is rated for on one side.
 *
 * @param threePhase or else single-phase
 * @param voltAmperes of all phases
 * @param voltage between lines, in V
 */
public record Rating(boolean threePhase, BigDecimal voltAmperes, BigDecimal voltage) {

  /**
   * Makes a rating.
   *
   * @throws IllegalArgumentException for a power or voltage that is not above zero
   */
  public Rating {
    Positive.check("rated power", voltAmperes);
    Positive.check("rated voltage", voltage);
  }

  /** Returns the current in a line in A, to 34 digits: S / (√3 U), single-phase S / U. */
  public BigDecimal current() {
    BigDecimal divisor = threePhase ? voltage.multiply(Roots.THREE) : voltage;
    return voltAmperes.divide(divisor, MathContext.DECIMAL128);
  }
}
