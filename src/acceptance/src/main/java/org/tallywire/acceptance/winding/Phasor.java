package org.tallywire.acceptance.winding;

import java.util.OptionalInt;
import org.apache.commons.math3.fraction.BigFraction;

/**
 * An exact phasor a + bω, where ω is 1 turned by 120° anticlockwise. All phasors of balanced three
 * phases, turned by multiples of 30°, are of this form but for a factor that is real.
 */
record Phasor(BigFraction a, BigFraction b) {

  static final Phasor ZERO = new Phasor(0, 0);
  static final Phasor ONE = new Phasor(1, 0);
  static final Phasor OMEGA = new Phasor(0, 1);

  /** Turns by 30° and stretches by √3. */
  private static final Phasor HOUR = new Phasor(2, 1);

  /** Turns by 60°. */
  private static final Phasor TWO_HOURS = new Phasor(1, 1);

  Phasor(int a, int b) {
    this(new BigFraction(a), new BigFraction(b));
  }

  /** Returns the balanced phasor of a phase: U is 1, V lags by 120°, W by 240°. */
  static Phasor ofPhase(int phase) {
    return switch (phase) {
      case 0 -> ONE;
      case 1 -> OMEGA.times(OMEGA);
      default -> OMEGA;
    };
  }

  Phasor plus(Phasor other) {
    return new Phasor(a.add(other.a), b.add(other.b));
  }

  Phasor minus(Phasor other) {
    return new Phasor(a.subtract(other.a), b.subtract(other.b));
  }

  Phasor times(BigFraction factor) {
    return new Phasor(a.multiply(factor), b.multiply(factor));
  }

  /** Multiplies; ω² = −1 − ω. */
  Phasor times(Phasor other) {
    BigFraction both = b.multiply(other.b);
    return new Phasor(
        a.multiply(other.a).subtract(both),
        a.multiply(other.b).add(b.multiply(other.a)).subtract(both));
  }

  /** Returns the square of the magnitude. */
  BigFraction square() {
    return a.multiply(a).subtract(a.multiply(b)).add(b.multiply(b));
  }

  /** Returns by how many hours of 30° this lags behind 1, if it is a whole number of them. */
  OptionalInt hoursBehindOne() {
    Phasor turned = this;
    for (int hour = 0; hour < 12; hour += 2) {
      if (turned.isPositive()) {
        return OptionalInt.of(hour);
      }
      if (turned.times(HOUR).isPositive()) {
        return OptionalInt.of(hour + 1);
      }
      turned = turned.times(TWO_HOURS);
    }
    return OptionalInt.empty();
  }

  private boolean isPositive() {
    return b.equals(BigFraction.ZERO) && a.compareTo(BigFraction.ZERO) > 0;
  }
}
