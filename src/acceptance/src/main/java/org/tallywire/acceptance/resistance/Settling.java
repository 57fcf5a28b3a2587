package org.tallywire.acceptance.resistance;

import java.math.BigDecimal;
import java.util.Optional;

/**
 * Whether a stream of resistances has settled, with every figure. Computed figures have eight
 * significant digits and are the same on every machine.
 *
 * @param reason the state in a sentence, with what to do
 * @param trend the straight line through the last readings; absent where there are too few
 * @param end where the readings bend toward; absent where they do not show it
 */
public record Settling(
    State state, String reason, Optional<Trend> trend, Optional<Extrapolation> end) {

  /** Whether a reading may be taken. */
  public enum State {
    SETTLED,
    /** Still moving: a trend is seen, or the extrapolated end is too far. */
    NOT_SETTLED,
    /** Too few readings at different times. */
    TOO_FEW,
    /** No trend is seen, but noise or resolution is too coarse to say that there is none. */
    SCATTERED
  }

  /**
   * A straight line through the last readings.
   *
   * @param readings how many it goes through
   * @param mean their mean in ohm
   * @param scatter standard deviation about the line in ohm
   * @param slope ohm per second
   * @param slopeUncertainty standard uncertainty of the slope
   * @param significance how likely such a slope is where there is none (two-sided t test)
   * @param drift most that may still be to come, in percent of the mean
   */
  public record Trend(
      int readings,
      BigDecimal mean,
      BigDecimal scatter,
      BigDecimal slope,
      BigDecimal slopeUncertainty,
      BigDecimal significance,
      BigDecimal drift) {}

  /**
   * An exponential through the last readings. Its uncertainties hold the scatter of the readings,
   * not that the winding may settle otherwise: without noise, the rest of a second time constant
   * shifts the end by more than its uncertainty.
   *
   * @param readings how many it goes through
   * @param ohms its end R∞
   * @param uncertainty standard uncertainty of R∞ in ohm
   * @param timeConstant τ in seconds
   * @param toGo how far the curve is above its end at the last reading, in ohm
   * @param toGoUncertainty standard uncertainty of that
   * @param secondsToWait from the last reading until what is to go is within the tolerance
   */
  public record Extrapolation(
      int readings,
      BigDecimal ohms,
      BigDecimal uncertainty,
      BigDecimal timeConstant,
      BigDecimal toGo,
      BigDecimal toGoUncertainty,
      BigDecimal secondsToWait) {}
}
