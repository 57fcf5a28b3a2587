package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.util.Optional;
import org.tallywire.acceptance.uncertainty.Component;
import org.tallywire.acceptance.uncertainty.Distribution;

/**
 * How the readings of one quantity scatter when nothing is changed between them: the standard
 * deviation that so many readings showed (type A of the GUM, n − 1 degrees of freedom). One reading
 * is judged, not their mean, so the standard deviation is not divided by √n.
 *
 * @param percent standard deviation in % of the reading, not below zero
 * @param readings how many showed it, at least 2
 */
public record Repeatability(BigDecimal percent, int readings) {

  /**
   * Makes a repeatability.
   *
   * @throws IllegalArgumentException for a standard deviation below zero, or fewer than 2 readings
   */
  public Repeatability {
    if (percent.signum() < 0) {
      throw new IllegalArgumentException(
          "a standard deviation of %s %% is below zero".formatted(percent));
    }
    if (readings < 2) {
      throw new IllegalArgumentException(
          "%d readings show no scatter: at least 2 do".formatted(readings));
    }
  }

  /** Returns the component of one reading, in the unit of the reading. */
  Component component(String name, BigDecimal reading) {
    return new Component(
        name,
        percent.multiply(reading.abs()).movePointLeft(2),
        BigDecimal.ONE,
        Optional.of(BigDecimal.valueOf(readings - 1L)),
        Distribution.REPEATED);
  }
}
