package org.tallywire.acceptance.uncertainty;

import java.math.BigDecimal;
import java.math.MathContext;
import org.apache.commons.math3.special.Erf;

/**
 * How probably a true value lies outside its limits, given what was measured and how uncertain that
 * is, with a normal distribution: Φ((T_L − y) / u) below and Φ((y − T_U) / u) above. Source: JCGM
 * 106:2012 clause 7 (from memory). The probability outside is the specific risk of accepting. Each
 * is rounded to 8 decimals; the library's error function is good to about 1e-15.
 *
 * @param below probability of lying below the lower limit
 * @param above probability of lying above the upper limit
 */
public record Conformity(BigDecimal below, BigDecimal above) {

  private static final int DECIMALS = 8;
  private static final BigDecimal NONE = BigDecimal.ZERO.setScale(DECIMALS);
  private static final BigDecimal ALL = BigDecimal.ONE.setScale(DECIMALS);
  private static final double HALF = 0.5e8;
  private static final double ROOT_OF_TWO = Math.sqrt(2);

  /** Beyond so many standard uncertainties nothing is left in 8 decimals (1e-9). */
  private static final BigDecimal FAR = BigDecimal.valueOf(6);

  /**
   * Returns the probabilities for two limits.
   *
   * @throws IllegalArgumentException for a standard uncertainty below zero, or a lower limit above
   *     the upper one
   */
  public static Conformity between(
      BigDecimal estimate, BigDecimal standardUncertainty, BigDecimal lower, BigDecimal upper) {
    if (lower.compareTo(upper) > 0) {
      throw new IllegalArgumentException(
          "the lower limit %s is above the upper limit %s".formatted(lower, upper));
    }
    return new Conformity(
        beyond(estimate.subtract(lower), standardUncertainty),
        beyond(upper.subtract(estimate), standardUncertainty));
  }

  /**
   * Returns the probabilities for a lower limit alone.
   *
   * @throws IllegalArgumentException for a standard uncertainty below zero
   */
  public static Conformity atLeast(
      BigDecimal estimate, BigDecimal standardUncertainty, BigDecimal lower) {
    return new Conformity(beyond(estimate.subtract(lower), standardUncertainty), NONE);
  }

  /**
   * Returns the probabilities for an upper limit alone.
   *
   * @throws IllegalArgumentException for a standard uncertainty below zero
   */
  public static Conformity atMost(
      BigDecimal estimate, BigDecimal standardUncertainty, BigDecimal upper) {
    return new Conformity(NONE, beyond(upper.subtract(estimate), standardUncertainty));
  }

  /** Returns the probability of lying outside the limits. */
  public BigDecimal outside() {
    return below.add(above);
  }

  /** Returns the probability of lying within the limits. */
  public BigDecimal inside() {
    return ALL.subtract(outside());
  }

  /**
   * Returns the probability of lying beyond a limit that is this far away, negative if the estimate
   * is itself beyond it.
   */
  static BigDecimal beyond(BigDecimal margin, BigDecimal standardUncertainty) {
    if (standardUncertainty.signum() < 0) {
      throw new IllegalArgumentException(
          "a standard uncertainty of %s is below zero".formatted(standardUncertainty));
    }
    if (standardUncertainty.signum() == 0) {
      return margin.signum() >= 0 ? NONE : ALL;
    }
    if (margin.abs().compareTo(standardUncertainty.multiply(FAR)) > 0) {
      return margin.signum() > 0 ? NONE : ALL;
    }
    double steps = margin.divide(standardUncertainty, MathContext.DECIMAL64).doubleValue();
    return BigDecimal.valueOf((long) Math.rint(Erf.erfc(steps / ROOT_OF_TWO) * HALF), DECIMALS);
  }
}
