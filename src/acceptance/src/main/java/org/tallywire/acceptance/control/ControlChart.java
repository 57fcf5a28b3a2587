package org.tallywire.acceptance.control;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.List;
import java.util.stream.Collectors;

/**
 * A series of figures with its centre and limits, all in the unit of the series.
 *
 * @param name what is drawn, such as {@code individuals}
 * @param points in the order they were taken; at least one
 */
public record ControlChart(String name, BigDecimal centre, List<Point> points) {

  /**
   * Keeps a copy of the points.
   *
   * @throws IllegalArgumentException without a point
   */
  public ControlChart {
    points = List.copyOf(points);
    if (points.isEmpty()) {
      throw new IllegalArgumentException("a control chart needs a point");
    }
  }

  /** Returns the points beyond a limit. A point on a limit is not beyond it. */
  public List<Point> out() {
    return points.stream().filter(Point::out).toList();
  }

  /** Returns what the chart says, with the limits that its last point has. */
  public String sentence() {
    Point last = points.get(points.size() - 1);
    String limits =
        "the limits %s and %s around %s"
            .formatted(plain(last.lower()), plain(last.upper()), plain(centre));
    List<Point> out = out();
    if (out.isEmpty()) {
      return "%s: none of %d points is beyond %s".formatted(name, points.size(), limits);
    }
    String which =
        out.stream()
            .map(p -> "no. %d (%s)".formatted(p.number(), plain(p.value())))
            .collect(Collectors.joining(", "));
    return "%s: %d of %d points beyond the limits: %s; the last point has %s"
        .formatted(name, out.size(), points.size(), which, limits);
  }

  private static String plain(BigDecimal figure) {
    BigDecimal rounded = figure.round(new MathContext(6)).stripTrailingZeros();
    return rounded.toPlainString();
  }

  /**
   * One figure of the chart and the limits that hold for it.
   *
   * @param number counted from 1 in the series; the first range belongs to the second figure
   */
  public record Point(int number, BigDecimal value, BigDecimal lower, BigDecimal upper) {

    /** Returns whether it is beyond a limit. */
    public boolean out() {
      return value.compareTo(lower) < 0 || value.compareTo(upper) > 0;
    }
  }
}
