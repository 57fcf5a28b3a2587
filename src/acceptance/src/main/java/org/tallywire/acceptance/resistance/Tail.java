package org.tallywire.acceptance.resistance;

import java.math.BigDecimal;
import java.math.BigInteger;
import java.util.Comparator;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import org.apache.commons.math3.linear.ArrayRealVector;
import org.tallywire.acceptance.resistance.CurveFit.Points;

/** The last readings of a stream in order of time, of which shorter ends can be taken. */
final class Tail {

  static final int MOST = 20;

  /** Share of a resistance below which a double does not tell two apart. */
  private static final double ROUNDING = 1e-12;

  private final List<TimedOhms> readings;
  private final Points points;
  private final double mean;
  private final double resolution;

  private Tail(List<TimedOhms> readings) {
    this.readings = readings;
    this.points = pointsOf(readings);
    this.mean = points.y().getL1Norm() / readings.size();
    this.resolution = resolutionOf(readings);
  }

  /** Returns the last 20 readings at most; readings of the same time stay in the order given. */
  static Tail of(List<TimedOhms> stream) {
    return new Tail(
        stream.stream()
            .sorted(Comparator.comparing(TimedOhms::seconds))
            .skip(Math.max(0, stream.size() - MOST))
            .toList());
  }

  Tail last(int count) {
    return new Tail(readings.subList(readings.size() - count, readings.size()));
  }

  int size() {
    return readings.size();
  }

  TimedOhms reading(int index) {
    return readings.get(index);
  }

  /**
   * Returns how many readings, counted from the end, have the given number of different times; all,
   * if none do.
   */
  int holding(int times) {
    Set<BigDecimal> seen = new HashSet<>();
    int count = 0;
    while (count < readings.size() && seen.size() < times) {
      count++;
      seen.add(readings.get(readings.size() - count).seconds().stripTrailingZeros());
    }
    return count;
  }

  /** Returns how many different times there are. */
  int times() {
    return (int) readings.stream().map(r -> r.seconds().stripTrailingZeros()).distinct().count();
  }

  /** Returns the seconds from the first reading to the last. */
  double span() {
    return points.x().getEntry(readings.size() - 1);
  }

  double mean() {
    return mean;
  }

  /** Returns seconds from the first reading, and ohms. */
  Points points() {
    return points;
  }

  /**
   * Returns the resolution in ohm: the greatest step of which all differences are multiples, and
   * not less than the last digit that was sent.
   */
  double resolution() {
    return resolution;
  }

  /** Returns the variance that rounding alone gives: q² / 12, and that of double arithmetic. */
  double roundingVariance() {
    double q = resolution;
    double r = ROUNDING * mean;
    return q * q / 12 + r * r;
  }

  private static Points pointsOf(List<TimedOhms> readings) {
    ArrayRealVector x = new ArrayRealVector(readings.size());
    ArrayRealVector y = new ArrayRealVector(readings.size());
    for (int i = 0; i < readings.size(); i++) {
      x.setEntry(i, readings.get(i).seconds().subtract(readings.get(0).seconds()).doubleValue());
      y.setEntry(i, readings.get(i).ohms().doubleValue());
    }
    return new Points(x, y);
  }

  private static double resolutionOf(List<TimedOhms> readings) {
    int scale = readings.stream().mapToInt(r -> r.ohms().scale()).max().orElse(0);
    BigInteger step = BigInteger.ZERO;
    for (TimedOhms reading : readings) {
      BigDecimal change = reading.ohms().subtract(readings.get(0).ohms());
      step = step.gcd(change.setScale(scale).unscaledValue());
    }
    return new BigDecimal(step.max(BigInteger.ONE), scale).doubleValue();
  }
}
