package org.tallywire.acceptance.related;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;
import java.util.List;

/**
 * Rules that bring an insulation resistance to a reference temperature, to compare it with others.
 */
public enum InsulationTemperature {
  /**
   * Oil-filled transformers, to 20 °C: the factors of a table from 0 to 75 °C, and between two of
   * its points the one that lies in proportion on a logarithmic scale.
   */
  OIL_FILLED_TABLE(
      20,
      75,
      "table of factors to 20 °C for oil-filled transformers in a technical library (found; the"
          + " same column in NETA table 100.14 has 0.75 for 15 °C, from memory); between its points"
          + " in proportion on a logarithmic scale (practice)",
      "found") {
    @Override
    double exactly(double temperature) {
      return interpolated(temperature);
    }
  },
  /**
   * Oil-filled transformers, to 20 °C: halved for each 10 K more, 0 to 75 °C. The table has up to 2
   * % less, at 5 °C 2 % more and at 15 °C 5 % more.
   */
  OIL_FILLED_HALVING(
      20,
      75,
      "rule 2^((T - 20) / 10), which follows the table of factors to 5 % (at 15 °C; else to 2 %)",
      "derived") {
    @Override
    double exactly(double temperature) {
      return doubled(temperature - 20);
    }
  },
  /**
   * Rotating machines and dry windings, to 40 °C: halved for each 10 K more. That it is used from 0
   * to 100 °C only is chosen here.
   */
  ROTATING_HALVING(
      40,
      100,
      "K_T = 0.5^((40 - T) / 10) (found in a second form in a forum; IEEE 43 from memory)",
      "memory") {
    @Override
    double exactly(double temperature) {
      return doubled(temperature - 40);
    }
  };

  private static final MathContext KEPT = new MathContext(8, RoundingMode.HALF_EVEN);
  private static final int STEP = 5;
  private static final List<String> TABLE =
      List.of(
          "0.25", "0.36", "0.50", "0.74", "1.00", "1.40", "1.98", "2.80", "3.95", "5.60", "7.85",
          "11.20", "15.85", "22.40", "31.75", "44.70");

  private final int reference;
  private final int highest;
  private final String source;
  private final String certainty;

  InsulationTemperature(int reference, int highest, String source, String certainty) {
    this.reference = reference;
    this.highest = highest;
    this.source = source;
    this.certainty = certainty;
  }

  abstract double exactly(double temperature);

  /** Returns the temperature in °C that a resistance is brought to. */
  public BigDecimal reference() {
    return BigDecimal.valueOf(reference);
  }

  /** Returns where the rule comes from. */
  public String source() {
    return source;
  }

  /** Returns how sure it is: found, memory, derived or practice. */
  public String certainty() {
    return certainty;
  }

  /** Tells whether the rule says anything about a temperature in °C. */
  public boolean covers(BigDecimal temperature) {
    return temperature.signum() >= 0 && temperature.compareTo(BigDecimal.valueOf(highest)) <= 0;
  }

  /**
   * Returns what to multiply a resistance by, rounded to 8 significant digits (computed with binary
   * numbers to about 1e-14).
   *
   * @throws IllegalArgumentException for a temperature that the rule does not cover
   */
  public BigDecimal factor(BigDecimal temperature) {
    if (!covers(temperature)) {
      throw new IllegalArgumentException(
          "an insulation resistance at %s °C cannot be brought to %d °C: the rule is for 0 to %d °C"
              .formatted(temperature, reference, highest));
    }
    return new BigDecimal(exactly(temperature.doubleValue())).round(KEPT).stripTrailingZeros();
  }

  /**
   * Returns an insulation resistance at the reference temperature, rounded to 8 significant digits.
   *
   * @throws IllegalArgumentException for a temperature that the rule does not cover, or a
   *     resistance that is not above zero
   */
  public BigDecimal corrected(BigDecimal resistance, BigDecimal temperature) {
    Positive.check("insulation resistance", resistance);
    return resistance.multiply(factor(temperature)).round(KEPT);
  }

  private static double doubled(double kelvins) {
    return StrictMath.pow(2, kelvins / 10);
  }

  private static double interpolated(double temperature) {
    int below = Math.min((int) (temperature / STEP), TABLE.size() - 2);
    double low = Double.parseDouble(TABLE.get(below));
    double high = Double.parseDouble(TABLE.get(below + 1));
    double share = temperature / STEP - below;
    return low * StrictMath.pow(high / low, share);
  }
}
