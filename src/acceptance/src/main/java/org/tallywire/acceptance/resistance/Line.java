package org.tallywire.acceptance.resistance;

import org.apache.commons.math3.distribution.TDistribution;
import org.apache.commons.math3.stat.descriptive.SummaryStatistics;
import org.apache.commons.math3.stat.regression.SimpleRegression;
import org.tallywire.acceptance.resistance.CurveFit.Points;

/** A straight line through the end of a stream: the library's regression. */
record Line(Tail tail, SimpleRegression regression, SummaryStatistics statistics) implements Shape {

  static Line through(Tail tail) {
    return new Line(tail, regression(tail.points()), statistics(tail.points()));
  }

  static SimpleRegression regression(Points points) {
    SimpleRegression regression = new SimpleRegression();
    for (int i = 0; i < points.x().getDimension(); i++) {
      regression.addData(points.x().getEntry(i), points.y().getEntry(i));
    }
    return regression;
  }

  static SummaryStatistics statistics(Points points) {
    SummaryStatistics statistics = new SummaryStatistics();
    for (double y : points.y().toArray()) {
      statistics.addValue(y);
    }
    return statistics;
  }

  @Override
  public double squares() {
    return regression.getSumSquaredErrors();
  }

  @Override
  public int freedom() {
    return tail.size() - 2;
  }

  double slope() {
    return regression.getSlope();
  }

  double slopeUncertainty() {
    return regression.getSlopeStdErr();
  }

  /** Returns the standard deviation about the line. */
  double scatter() {
    return Math.sqrt(squares() / freedom());
  }

  /** Returns how likely a slope at least as great is where there is none: the two-sided t test. */
  double significance() {
    if (statistics.getMax() == statistics.getMin()) {
      return 1;
    }
    double t = Math.abs(slope()) / slopeUncertainty();
    return 2 * new TDistribution(null, freedom()).cumulativeProbability(-t);
  }

  /** Returns the reading that lies farthest from the line. */
  TimedOhms farthest() {
    Points points = tail.points();
    int farthest = 0;
    double greatest = -1;
    for (int i = 0; i < tail.size(); i++) {
      double off = Math.abs(points.y().getEntry(i) - regression.predict(points.x().getEntry(i)));
      if (off > greatest) {
        farthest = i;
        greatest = off;
      }
    }
    return tail.reading(farthest);
  }
}
