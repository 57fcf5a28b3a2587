package org.tallywire.acceptance.uncertainty;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.List;

/**
 * How two components of a budget go together.
 *
 * @param first name of a component
 * @param second name of another component
 * @param coefficient −1 to 1
 */
public record Correlation(String first, String second, BigDecimal coefficient) {

  /**
   * Makes a correlation.
   *
   * @throws IllegalArgumentException for a component with itself, or a coefficient outside −1 to 1
   */
  public Correlation {
    if (first.equals(second)) {
      throw new IllegalArgumentException(
          "component %s is to be correlated with itself".formatted(first));
    }
    if (coefficient.abs().compareTo(BigDecimal.ONE) > 0) {
      throw new IllegalArgumentException(
          "the correlation of %s and %s is %s, which is not within -1 to 1"
              .formatted(first, second, coefficient));
    }
  }

  /**
   * Returns the correlation of two quantities that were read together several times, to 34 digits:
   * Σ(x − x̄)(y − ȳ) / √(Σ(x − x̄)² Σ(y − ȳ)²). Zero where one of them never changed. Source: GUM
   * 5.2.3 (from memory).
   *
   * @throws IllegalArgumentException for fewer than two readings, or not as many of one as of the
   *     other
   */
  public static Correlation ofReadings(
      String first, List<BigDecimal> ofFirst, String second, List<BigDecimal> ofSecond) {
    if (ofFirst.size() < 2 || ofFirst.size() != ofSecond.size()) {
      throw new IllegalArgumentException(
          "%d readings of %s and %d of %s do not show how they go together"
              .formatted(ofFirst.size(), first, ofSecond.size(), second));
    }
    BigDecimal spread = products(ofFirst, ofFirst).multiply(products(ofSecond, ofSecond));
    if (spread.signum() == 0) {
      return new Correlation(first, second, BigDecimal.ZERO);
    }
    BigDecimal coefficient =
        products(ofFirst, ofSecond)
            .divide(spread.sqrt(MathContext.DECIMAL128), MathContext.DECIMAL128)
            .min(BigDecimal.ONE)
            .max(BigDecimal.ONE.negate());
    return new Correlation(first, second, coefficient);
  }

  /** Returns n Σxy − Σx Σy, which is n times the sum of products of deviations, exactly. */
  static BigDecimal products(List<BigDecimal> xs, List<BigDecimal> ys) {
    BigDecimal sumX = BigDecimal.ZERO;
    BigDecimal sumY = BigDecimal.ZERO;
    BigDecimal sumXY = BigDecimal.ZERO;
    for (int i = 0; i < xs.size(); i++) {
      sumX = sumX.add(xs.get(i));
      sumY = sumY.add(ys.get(i));
      sumXY = sumXY.add(xs.get(i).multiply(ys.get(i)));
    }
    return sumXY.multiply(BigDecimal.valueOf(xs.size())).subtract(sumX.multiply(sumY));
  }
}
