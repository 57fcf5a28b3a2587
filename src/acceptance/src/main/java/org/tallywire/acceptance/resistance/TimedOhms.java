package org.tallywire.acceptance.resistance;

import java.math.BigDecimal;

/**
 * One resistance of a stream and when it was read.
 *
 * @param seconds from any begin; only differences count
 * @param ohms with the digits that the instrument sent: the last digit is taken as its resolution
 */
public record TimedOhms(BigDecimal seconds, BigDecimal ohms) {

  /**
   * @throws IllegalArgumentException if the resistance is not greater than zero
   */
  public TimedOhms {
    Figure.positive("the resistance", ohms);
  }
}
