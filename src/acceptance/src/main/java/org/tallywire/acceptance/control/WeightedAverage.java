package org.tallywire.acceptance.control;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.ArrayList;
import java.util.List;

/**
 * The exponentially weighted moving average (EWMA), which shows a small lasting shift sooner than
 * single figures do. Source: NIST/SEMATECH e-Handbook of Statistical Methods 6.3.2.4; the limits of
 * the first points, narrower by √(1 − (1 − λ)^2t), are the exact variance of the same sum.
 *
 * @param weight λ of the newest figure, above 0 up to 1
 * @param width half the distance of the limits, in standard deviations of the average; above 0
 */
public record WeightedAverage(BigDecimal weight, BigDecimal width) {

  private static final MathContext DIGITS = MathContext.DECIMAL128;
  private static final BigDecimal TWO = BigDecimal.valueOf(2);

  /** Which limits the points have. */
  public enum Limits {
    /** Those of a long series, for all points. */
    STEADY,
    /** Those of each point's own place in the series. */
    EXACT
  }

  /**
   * Checks the settings.
   *
   * @throws IllegalArgumentException for a setting outside its range
   */
  public WeightedAverage {
    if (weight.signum() <= 0 || weight.compareTo(BigDecimal.ONE) > 0) {
      throw new IllegalArgumentException(
          "a weight of %s is not above 0 and up to 1".formatted(weight));
    }
    if (width.signum() <= 0) {
      throw new IllegalArgumentException("a width of %s is not above 0".formatted(width));
    }
  }

  /**
   * Returns the chart of the averages.
   *
   * @param target the average before the first figure, and the centre
   * @param standardDeviation of a single figure; not negative
   * @throws IllegalArgumentException for a negative standard deviation, or without a figure
   */
  public ControlChart chart(
      List<BigDecimal> series, BigDecimal target, BigDecimal standardDeviation, Limits limits) {
    if (standardDeviation.signum() < 0) {
      throw new IllegalArgumentException(
          "a standard deviation of %s is below 0".formatted(standardDeviation));
    }
    BigDecimal kept = BigDecimal.ONE.subtract(weight);
    BigDecimal steady = weight.divide(TWO.subtract(weight), DIGITS);
    List<ControlChart.Point> points = new ArrayList<>();
    BigDecimal average = target;
    BigDecimal forgotten = BigDecimal.ONE;
    for (BigDecimal value : series) {
      average = weight.multiply(value).add(kept.multiply(average), DIGITS);
      forgotten = forgotten.multiply(kept, DIGITS).multiply(kept, DIGITS);
      BigDecimal variance =
          limits == Limits.STEADY
              ? steady
              : steady.multiply(BigDecimal.ONE.subtract(forgotten), DIGITS);
      BigDecimal half = variance.sqrt(DIGITS).multiply(standardDeviation).multiply(width);
      points.add(
          new ControlChart.Point(
              points.size() + 1, average, target.subtract(half), target.add(half)));
    }
    return new ControlChart("weighted average", target, points);
  }
}
