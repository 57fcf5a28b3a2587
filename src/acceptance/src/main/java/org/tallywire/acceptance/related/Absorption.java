package org.tallywire.acceptance.related;

import java.math.BigDecimal;
import java.math.MathContext;

/**
 * How an insulation resistance rises while the voltage stays on. PI = R(10 min) / R(1 min) and DAR
 * = R(60 s) / R(30 s) (found on several pages), each to 34 digits.
 */
public final class Absorption {

  /** Resistance in MΩ at one minute above which a polarisation index may mean nothing. */
  private static final BigDecimal TOO_HIGH = BigDecimal.valueOf(5000);

  private Absorption() {}

  /**
   * Returns the polarisation index.
   *
   * @throws IllegalArgumentException for a resistance that is not above zero
   */
  public static BigDecimal polarisationIndex(BigDecimal atOneMinute, BigDecimal atTenMinutes) {
    return ratio("one minute", atOneMinute, "ten minutes", atTenMinutes);
  }

  /**
   * Returns the dielectric absorption ratio.
   *
   * @throws IllegalArgumentException for a resistance that is not above zero
   */
  public static BigDecimal dielectricAbsorptionRatio(
      BigDecimal atThirtySeconds, BigDecimal atSixtySeconds) {
    return ratio("30 seconds", atThirtySeconds, "60 seconds", atSixtySeconds);
  }

  /**
   * Tells whether the resistance at one minute is so high (above 5000 MΩ) that the polarisation
   * index may mean nothing. Source: IEEE 43 (found in a secondary page).
   */
  public static boolean indexMayMeanNothing(BigDecimal megohmsAtOneMinute) {
    return megohmsAtOneMinute.compareTo(TOO_HIGH) > 0;
  }

  private static BigDecimal ratio(
      String earlier, BigDecimal atEarlier, String later, BigDecimal atLater) {
    Positive.check("insulation resistance at " + earlier, atEarlier);
    Positive.check("insulation resistance at " + later, atLater);
    return atLater.divide(atEarlier, MathContext.DECIMAL128);
  }
}
