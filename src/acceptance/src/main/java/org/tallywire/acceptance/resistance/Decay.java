package org.tallywire.acceptance.resistance;

import java.util.List;
import java.util.Optional;
import org.apache.commons.math3.analysis.ParametricUnivariateFunction;
import org.apache.commons.math3.linear.ArrayRealVector;
import org.apache.commons.math3.linear.RealVector;
import org.apache.commons.math3.util.FastMath;
import org.tallywire.acceptance.resistance.CurveFit.Fitted;
import org.tallywire.acceptance.resistance.CurveFit.Points;

/**
 * An exponential through the end of a stream: r = R∞ + B e^(−κ x), x the share of the time from the
 * first reading to the last, r in units of the mean, so that the fit's numbers are near one.
 */
record Decay(Tail tail, Fitted fitted) implements Shape {

  static final ParametricUnivariateFunction CURVE =
      new ParametricUnivariateFunction() {
        @Override
        public double value(double x, double... p) {
          return p[0] + p[1] * FastMath.exp(-p[2] * x);
        }

        @Override
        public double[] gradient(double x, double... p) {
          double e = FastMath.exp(-p[2] * x);
          return new double[] {1, e, -x * p[1] * e};
        }
      };

  /**
   * Readings at different times from which on an end is told: with fewer its scatter is not known.
   */
  static final int FEWEST = 6;

  /** κ from which on a fit begins where three points do not tell one: about three τ seen. */
  private static final double BLIND_RATE = 3;

  /** Returns the exponential, or nothing if none is determined by the readings. */
  static Optional<Decay> through(Tail tail) {
    double mean = tail.mean();
    double span = tail.span();
    Points points =
        new Points(tail.points().x().mapDivide(span), tail.points().y().mapDivide(mean));
    for (ThreePoints three : List.of(ThreePoints.of(points), ThreePoints.of(points).blind())) {
      Optional<Decay> decay =
          three
              .start()
              .flatMap(start -> CurveFit.fit(CURVE, start, points))
              .filter(fitted -> fitted.value(0) > 0 && fitted.value(2) > 0)
              .map(fitted -> new Decay(tail, fitted));
      if (decay.isPresent()) {
        return decay;
      }
    }
    return Optional.empty();
  }

  @Override
  public double squares() {
    return fitted.squares() * tail.mean() * tail.mean();
  }

  @Override
  public int freedom() {
    return fitted.freedom();
  }

  /** Returns how likely a straight line would be so much worse by chance. */
  double bend() {
    double gain = Line.through(tail).squares() - squares();
    return Shape.significance(gain / variance(), freedom());
  }

  double end() {
    return fitted.value(0) * tail.mean();
  }

  double endUncertainty() {
    return fitted.uncertainty(0) * tail.mean() * allowance();
  }

  double timeConstant() {
    return tail.span() / fitted.value(2);
  }

  /** Returns how far above the end the curve is at the last reading: B e^(−κ). */
  double toGo() {
    return fitted.value(1) * FastMath.exp(-fitted.value(2)) * tail.mean();
  }

  double toGoUncertainty() {
    double e = FastMath.exp(-fitted.value(2));
    RealVector gradient = new ArrayRealVector(new double[] {0, e, -fitted.value(1) * e});
    double variance = gradient.dotProduct(fitted.covariance().operate(gradient));
    return Math.sqrt(Math.max(variance, 0)) * tail.mean() * allowance();
  }

  /** Returns the factor that raises the scatter about the curve to that of rounding at least. */
  private double allowance() {
    double scatter = squares() / freedom();
    return scatter > 0 ? Math.sqrt(variance() / scatter) : 1;
  }

  /**
   * Three readings at equal distances, here each the mean of a third of the readings, give R∞ = (r1
   * r3 − r2²) / (r1 + r3 − 2 r2) and κ = ln((r1 − r2) / (r2 − r3)) / Δx (derived).
   */
  record ThreePoints(double x1, double x3, double r1, double r2, double r3, boolean told) {

    static ThreePoints of(Points points) {
      int n = points.x().getDimension();
      int third = Math.max(1, n / 3);
      return new ThreePoints(
          mean(points.x(), 0, third),
          mean(points.x(), n - third, third),
          mean(points.y(), 0, third),
          mean(points.y(), (n - third) / 2, third),
          mean(points.y(), n - third, third),
          true);
    }

    ThreePoints blind() {
      return new ThreePoints(x1, x3, r1, r2, r3, false);
    }

    double end() {
      return told ? (r1 * r3 - r2 * r2) / (r1 + r3 - 2 * r2) : r3;
    }

    double rate() {
      return told ? FastMath.log((r1 - r2) / (r2 - r3)) / ((x3 - x1) / 2) : BLIND_RATE;
    }

    /** Returns R∞, B and κ to begin with, or nothing if the three do not bend toward an end. */
    Optional<RealVector> start() {
      double size = (r1 - end()) * FastMath.exp(rate() * x1);
      return rate() > 0 && Double.isFinite(size) && Double.isFinite(rate())
          ? Optional.of(new ArrayRealVector(new double[] {end(), size, rate()}))
          : Optional.empty();
    }

    private static double mean(RealVector values, int from, int count) {
      return Line.statistics(new Points(values, values.getSubVector(from, count))).getMean();
    }
  }
}
