package org.tallywire.acceptance.related;

import java.math.BigDecimal;
import java.math.MathContext;

/**
 * Short-circuit impedance of a pair of windings in percent of the rated impedance, to 34 digits: z
 * = 100 U / U_r at rated current, r = 100 P / S_r, x = √(z² − r²) (practice).
 *
 * @param rating it is a percentage of
 * @param impedance z in %
 * @param resistance r in %
 * @param reactance x in %
 */
public record ShortCircuitImpedance(
    Rating rating, BigDecimal impedance, BigDecimal resistance, BigDecimal reactance) {

  private static final MathContext EXACT = MathContext.DECIMAL128;

  /**
   * Returns the impedance from a measurement at any current: the voltage grows with the current,
   * the loss with its square.
   *
   * @param voltage between lines, in V
   * @param current in a line, in A
   * @param loss of all phases, in W
   * @throws IllegalArgumentException for a voltage or current that is not above zero, a loss below
   *     zero, or more loss than voltage and current can make
   */
  public static ShortCircuitImpedance measured(
      Rating rating, BigDecimal voltage, BigDecimal current, BigDecimal loss) {
    Positive.check("short-circuit voltage", voltage);
    Positive.check("short-circuit current", current);
    if (loss.signum() < 0) {
      throw new IllegalArgumentException(
          "the short-circuit loss is %s W, which is below zero".formatted(loss));
    }
    BigDecimal scale = rating.current().divide(current, EXACT);
    BigDecimal z = percent(voltage.multiply(scale, EXACT).divide(rating.voltage(), EXACT));
    BigDecimal r =
        percent(
            loss.multiply(scale, EXACT).multiply(scale, EXACT).divide(rating.voltAmperes(), EXACT));
    if (r.compareTo(z) > 0) {
      throw new IllegalArgumentException(
          ("a short-circuit loss of %s W is more than %s V and %s A can make: check the"
                  + " connections and the current transformers")
              .formatted(loss, voltage, current));
    }
    BigDecimal x = z.multiply(z).subtract(r.multiply(r)).sqrt(EXACT);
    return new ShortCircuitImpedance(rating, z, r, x);
  }

  /** Returns the impedance in Ω of one phase, seen from the side whose voltage is rated. */
  public BigDecimal ohms() {
    return rating
        .voltage()
        .multiply(rating.voltage())
        .multiply(impedance)
        .movePointLeft(2)
        .divide(rating.voltAmperes(), EXACT);
  }

  /**
   * Returns the impedance with the windings at another temperature, as if all of the loss were that
   * of the conductors' resistance: r (T_k + θ2) / (T_k + θ1), x as before (practice; stray loss
   * falls with temperature, so that the true r is a little lower).
   *
   * @param constant T_k of the conductor in °C
   * @param from temperature in °C when it was measured
   * @param to temperature in °C
   * @throws IllegalArgumentException for a temperature at which a conductor would have no
   *     resistance
   */
  public ShortCircuitImpedance atTemperature(BigDecimal constant, BigDecimal from, BigDecimal to) {
    BigDecimal before = constant.add(from);
    BigDecimal after = constant.add(to);
    Positive.check("temperature above that without resistance", before);
    Positive.check("temperature above that without resistance", after);
    BigDecimal r = resistance.multiply(after).divide(before, EXACT);
    BigDecimal z = r.multiply(r).add(reactance.multiply(reactance)).sqrt(EXACT);
    return new ShortCircuitImpedance(rating, z, r, reactance);
  }

  /**
   * Returns (z − plate) / plate × 100.
   *
   * @param plate impedance on the nameplate in %
   * @throws IllegalArgumentException for an impedance that is not above zero
   */
  public BigDecimal deviation(BigDecimal plate) {
    Positive.check("impedance on the nameplate", plate);
    return percent(impedance.subtract(plate).divide(plate, EXACT));
  }

  private static BigDecimal percent(BigDecimal ratio) {
    return ratio.movePointRight(2);
  }
}
