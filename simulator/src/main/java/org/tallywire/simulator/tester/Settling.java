package org.tallywire.simulator.tester;

/**
 * Whether a value that nears its end exponentially is there, by its last three values at equal
 * intervals: {@code r1, r2, r3} of {@code R + A·e^(−t/τ)} give R.
 */
final class Settling {

  /** So small a part of what is allowed counts as no movement, whatever the course. */
  private static final double STILL = 0.01;

  private final double share;
  private double first = Double.NaN;
  private double second = Double.NaN;
  private double third = Double.NaN;

  /**
   * Settled means: what is still to go, and the last step, are less than this share of the value.
   */
  Settling(double share) {
    this.share = share;
  }

  void add(double value) {
    first = second;
    second = third;
    third = value;
  }

  /** Returns whether the last value has settled; not before there are three. */
  boolean settled() {
    double limit = share * Math.abs(third);
    double before = Math.abs(second - first);
    double last = Math.abs(third - second);
    if (Math.max(before, last) <= STILL * limit) {
      return true;
    }
    return last <= limit && Math.abs(end() - third) <= limit;
  }

  /**
   * Returns the value at the end. It is not a number if the three do not near one: if they turn
   * round or do not slow down.
   */
  double end() {
    double before = first - second;
    double last = second - third;
    return before * last > 0 && Math.abs(last) < Math.abs(before)
        ? third - last * last / (before - last)
        : Double.NaN;
  }
}
