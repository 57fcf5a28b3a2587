package org.tallywire.acceptance.resistance;

import java.util.Optional;
import java.util.function.Function;
import org.apache.commons.math3.distribution.FDistribution;

/**
 * A curve through the end of a stream. How far back it reaches is found from the readings: an
 * earlier one joins while it does not lie off the curve through the later ones, by the F test of
 * one added reading (Chow's forecast test; memory). So the early part of a settling with two time
 * constants, and a start-up before it, drop out.
 */
interface Shape {

  /** Below this significance an earlier reading lies off the curve (practice). */
  double OFF = 0.01;

  Tail tail();

  /** Returns the sum of the squared residuals. */
  double squares();

  /** Returns readings less parameters. */
  int freedom();

  /** Returns the variance about the curve, not less than that of rounding. */
  default double variance() {
    return Math.max(squares() / freedom(), tail().roundingVariance());
  }

  /** Returns the curve that reaches back as far as the readings allow, from {@code least} on. */
  static <S extends Shape> Optional<S> reachingBack(
      Tail all, int least, Function<Tail, Optional<S>> fit) {
    Optional<S> reached = Optional.empty();
    for (int count = least; count <= all.size(); count++) {
      Optional<S> next = fit.apply(all.last(count));
      if (reached.isPresent() && (next.isEmpty() || off(reached.get(), next.get()))) {
        return reached;
      }
      reached = next;
    }
    return reached;
  }

  private static boolean off(Shape shape, Shape longer) {
    double added = (longer.squares() - shape.squares()) / shape.variance();
    return significance(added, shape.freedom()) < OFF;
  }

  /** Returns how likely an F of one and some degrees of freedom is at least this great. */
  static double significance(double f, int freedom) {
    return f > 0 ? 1 - new FDistribution(null, 1, freedom).cumulativeProbability(f) : 1;
  }
}
