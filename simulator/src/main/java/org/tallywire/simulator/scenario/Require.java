package org.tallywire.simulator.scenario;

import java.util.Locale;

/** Refuses values that nothing can have, for the constructors of this package. */
final class Require {

  private Require() {}

  /** Refuses what is not above zero. */
  static void positive(double... values) {
    for (double value : values) {
      require(value > 0 && Double.isFinite(value), "%s is not above 0", value);
    }
  }

  /** Refuses what is below zero. */
  static void notNegative(double... values) {
    for (double value : values) {
      require(value >= 0 && Double.isFinite(value), "%s is below 0", value);
    }
  }

  /** Refuses what is no number. */
  static void finite(double value) {
    require(Double.isFinite(value), "%s is no number", value);
  }

  /** Refuses what is no share, 0 to 1. */
  static void share(double value) {
    require(value >= 0 && value <= 1, "%s is not between 0 and 1", value);
  }

  private static void require(boolean right, String words, double value) {
    if (!right) {
      throw new IllegalArgumentException(String.format(Locale.ROOT, words, value));
    }
  }
}
