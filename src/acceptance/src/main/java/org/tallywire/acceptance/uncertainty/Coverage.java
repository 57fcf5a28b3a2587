package org.tallywire.acceptance.uncertainty;

import java.math.BigDecimal;
import java.math.RoundingMode;
import java.util.Optional;
import java.util.concurrent.atomic.AtomicReferenceArray;
import org.apache.commons.math3.distribution.NormalDistribution;
import org.apache.commons.math3.distribution.TDistribution;

/**
 * Coverage factors: two-sided quantiles of Student's distribution, of the normal one where the
 * degrees of freedom are as good as infinite, rounded to 4 decimals. The library's quantiles are
 * good to 1e-9. Source: GUM G.3 and table G.2 (ten of its values found); that degrees of freedom
 * are cut to a whole number below: GUM G.4.1 (from memory).
 */
final class Coverage {

  static final BigDecimal USUAL = new BigDecimal("95.45");

  private static final int DECIMALS = 4;

  /** Above it the usual factor is 2.0000 for any number (it exceeds 2 by 2.5 / number). */
  private static final int AS_GOOD_AS_INFINITE = 100_000;

  /** Factors of the usual level are kept up to here, because the library takes its time. */
  private static final int KEPT = 10_000;

  private static final BigDecimal HUNDRED = BigDecimal.valueOf(100);
  private static final BigDecimal MOST = BigDecimal.valueOf(AS_GOOD_AS_INFINITE);
  private static final BigDecimal USUAL_NORMAL = normal(USUAL);
  private static final AtomicReferenceArray<BigDecimal> USUAL_STUDENT =
      new AtomicReferenceArray<>(KEPT);

  private Coverage() {}

  /**
   * Returns the factor for a level of confidence.
   *
   * @throws IllegalArgumentException for a level that is not between 0 and 100
   */
  static BigDecimal factor(BigDecimal percent, Optional<BigDecimal> degreesOfFreedom) {
    if (percent.signum() <= 0 || percent.compareTo(HUNDRED) >= 0) {
      throw new IllegalArgumentException(
          "a level of confidence of %s %% is not between 0 and 100".formatted(percent));
    }
    boolean usual = percent.compareTo(USUAL) == 0;
    if (degreesOfFreedom.isEmpty() || degreesOfFreedom.orElseThrow().compareTo(MOST) > 0) {
      return usual ? USUAL_NORMAL : normal(percent);
    }
    int whole = degreesOfFreedom.orElseThrow().intValue();
    return usual && whole < KEPT
        ? USUAL_STUDENT.updateAndGet(whole, kept -> kept == null ? student(percent, whole) : kept)
        : student(percent, whole);
  }

  private static BigDecimal student(BigDecimal percent, int whole) {
    return rounded(new TDistribution(whole).inverseCumulativeProbability(below(percent)));
  }

  private static BigDecimal normal(BigDecimal percent) {
    return rounded(new NormalDistribution().inverseCumulativeProbability(below(percent)));
  }

  /** Returns the probability below the upper end of the interval. */
  private static double below(BigDecimal percent) {
    return percent.add(HUNDRED).doubleValue() / 200;
  }

  private static BigDecimal rounded(double factor) {
    return new BigDecimal(factor).setScale(DECIMALS, RoundingMode.HALF_EVEN);
  }
}
