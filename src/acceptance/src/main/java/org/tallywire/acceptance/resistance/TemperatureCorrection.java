package org.tallywire.acceptance.resistance;

import java.math.BigDecimal;
import java.math.MathContext;

/**
 * Brings resistances from one temperature to another: R2 = R1 (T_k + θ2) / (T_k + θ1), θ in °C
 * (IEEE C57.12.90/.91, IEC 60076-1; the formula is found, the clauses are from memory). Every
 * result is rounded once, to 34 digits. All methods throw {@link IllegalArgumentException} for a
 * resistance that is not greater than zero, or a temperature at which the conductor would have no
 * resistance (at or below −T_k); {@link Celsius#plausible} keeps far away from it.
 *
 * @param constant T_k in °C (see {@link ConductorConstants})
 */
public record TemperatureCorrection(BigDecimal constant) {

  public TemperatureCorrection {
    Figure.positive("the constant of the conductor", constant);
  }

  /** Returns the resistance that a winding of {@code ohms} at {@code from} has at {@code to}. */
  public BigDecimal corrected(BigDecimal ohms, BigDecimal from, BigDecimal to) {
    return Figure.positive("the resistance", ohms)
        .multiply(above(to))
        .divide(above(from), MathContext.DECIMAL128);
  }

  /** Returns the factor by which a resistance grows from one temperature to the other. */
  public BigDecimal factor(BigDecimal from, BigDecimal to) {
    return above(to).divide(above(from), MathContext.DECIMAL128);
  }

  /**
   * Returns the mean temperature of a winding from its resistance: θ2 = R2 / R1 (T_k + θ1) − T_k
   * (derived: the same formula, solved for θ2).
   *
   * @param coldOhms its resistance at the temperature {@code cold}
   * @param ohms its resistance now
   */
  public BigDecimal temperature(BigDecimal coldOhms, BigDecimal cold, BigDecimal ohms) {
    return Figure.positive("the resistance now", ohms)
        .multiply(above(cold))
        .subtract(constant.multiply(Figure.positive("the cold resistance", coldOhms)))
        .divide(coldOhms, MathContext.DECIMAL128);
  }

  /**
   * Returns the share by which a resistance changes with one kelvin: 1 / (T_k + θ), which is also
   * the temperature coefficient α at θ (derived). For uncertainties: u(R2)/R2 from u(θ1) is this
   * times u(θ1).
   */
  public BigDecimal sensitivity(BigDecimal at) {
    return BigDecimal.ONE.divide(above(at), MathContext.DECIMAL128);
  }

  private BigDecimal above(BigDecimal temperature) {
    BigDecimal sum = constant.add(temperature);
    if (sum.signum() <= 0) {
      throw new IllegalArgumentException(
          "at %s °C a conductor with the constant %s °C would have no resistance"
              .formatted(Figure.plain(temperature), Figure.plain(constant)));
    }
    return sum;
  }
}
