package org.tallywire.acceptance.related;

import java.math.BigDecimal;

/** Refuses numbers that can only be above zero. */
final class Positive {

  private Positive() {}

  static void check(String name, BigDecimal number) {
    if (number.signum() <= 0) {
      throw new IllegalArgumentException(
          "the %s is %s, which is not above zero".formatted(name, number));
    }
  }
}
