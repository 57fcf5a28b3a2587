package org.tallywire.acceptance.control;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.ArrayList;
import java.util.List;

/**
 * What a history of single figures says of its process: the mean and the mean moving range of two
 * figures. Limits stand at three standard deviations, the standard deviation is the mean moving
 * range over d2. Source: NIST/SEMATECH e-Handbook of Statistical Methods 6.3.2.2; d2 = 1.128 for
 * two figures follows from its example (found second-hand), D4 = 3.267 is from memory.
 *
 * @param meanRange not negative; 0 where all figures of the history are the same
 */
public record Individuals(BigDecimal mean, BigDecimal meanRange) {

  private static final MathContext DIGITS = MathContext.DECIMAL128;
  private static final BigDecimal D2 = new BigDecimal("1.128");
  private static final BigDecimal D4 = new BigDecimal("3.267");
  private static final BigDecimal THREE = BigDecimal.valueOf(3);

  /**
   * Returns what the history says.
   *
   * @param history in the order of time, in one unit
   * @throws IllegalArgumentException with fewer than two figures
   */
  public static Individuals of(List<BigDecimal> history) {
    if (history.size() < 2) {
      throw new IllegalArgumentException(
          "a moving range needs two figures, not %d".formatted(history.size()));
    }
    return new Individuals(mean(history), mean(movingRanges(history)));
  }

  /** Returns the standard deviation of the process. */
  public BigDecimal standardDeviation() {
    return meanRange.divide(D2, DIGITS);
  }

  /** Returns the chart of the figures themselves. */
  public ControlChart figures(List<BigDecimal> series) {
    BigDecimal half = meanRange.multiply(THREE).divide(D2, DIGITS);
    return chart("individuals", mean, mean.subtract(half), mean.add(half), 1, series);
  }

  /**
   * Returns the chart of the moving ranges. Its lower limit is 0.
   *
   * @throws IllegalArgumentException with fewer than two figures
   */
  public ControlChart ranges(List<BigDecimal> series) {
    BigDecimal upper = meanRange.multiply(D4);
    return chart("moving ranges", meanRange, BigDecimal.ZERO, upper, 2, movingRanges(series));
  }

  private static ControlChart chart(
      String name,
      BigDecimal centre,
      BigDecimal lower,
      BigDecimal upper,
      int first,
      List<BigDecimal> series) {
    List<ControlChart.Point> points = new ArrayList<>();
    for (BigDecimal value : series) {
      points.add(new ControlChart.Point(first + points.size(), value, lower, upper));
    }
    return new ControlChart(name, centre, points);
  }

  private static List<BigDecimal> movingRanges(List<BigDecimal> series) {
    List<BigDecimal> ranges = new ArrayList<>();
    for (int i = 1; i < series.size(); i++) {
      ranges.add(series.get(i).subtract(series.get(i - 1)).abs());
    }
    return ranges;
  }

  private static BigDecimal mean(List<BigDecimal> figures) {
    return figures.stream()
        .reduce(BigDecimal.ZERO, BigDecimal::add)
        .divide(BigDecimal.valueOf(figures.size()), DIGITS);
  }
}
