package org.tallywire.acceptance.resistance;

import java.math.BigDecimal;

/**
 * One published pair of the constants T_k in °C of R2 = R1 (T_k + θ2) / (T_k + θ1). The published
 * pairs differ for copper, by 0.035 % of a resistance brought from 20 °C to 75 °C, so a table of
 * criteria chooses one by its name.
 *
 * @param name the word by which a table chooses the pair
 * @param source who publishes it
 * @param certainty {@code found}, {@code memory}, {@code derived} or {@code practice}
 */
public record ConductorConstants(
    String name, BigDecimal copper, BigDecimal aluminium, String source, String certainty) {

  /** 234.5 for copper and 225 for aluminium. */
  public static final ConductorConstants IEEE =
      new ConductorConstants(
          "ieee",
          new BigDecimal("234.5"),
          new BigDecimal("225"),
          "IEEE C57.12.90/.91 and 10 CFR 431 subpart K appendix A, as read in the EnergyPlus"
              + " Engineering Reference; the clause of C57.12.90 is from memory",
          "found");

  /** 235 for copper and 225 for aluminium. */
  public static final ConductorConstants IEC =
      new ConductorConstants(
          "iec",
          new BigDecimal("235"),
          new BigDecimal("225"),
          "IEC 60076-1 annex E and IEC 60034-1: numbers found in trade pages, clauses from memory",
          "memory");

  public ConductorConstants {
    Figure.positive("the constant of copper", copper);
    Figure.positive("the constant of aluminium", aluminium);
  }

  /** Returns the constant T_k of a conductor, in °C. */
  public BigDecimal of(Conductor conductor) {
    return switch (conductor) {
      case COPPER -> copper;
      case ALUMINIUM -> aluminium;
    };
  }

  /** Returns the correction with the constant of a conductor. */
  public TemperatureCorrection correction(Conductor conductor) {
    return new TemperatureCorrection(of(conductor));
  }
}
