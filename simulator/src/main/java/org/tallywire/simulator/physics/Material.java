package org.tallywire.simulator.physics;

/**
 * What a winding is made of: resistivity at 20 °C and how it rises with temperature.
 *
 * <p>Copper is 100 % IACS, 1/58 Ω·mm²/m, with the constant 234.5 (IEEE C57.12.90 family, 10 CFR 431
 * Subpart K appendix A). Aluminium is 61 % IACS, 0.028264 Ω·mm²/m (value from memory), with the
 * winding constant 225 (same sources).
 */
public enum Material {
  COPPER(1.0 / 58, 234.5),
  ALUMINIUM(0.028264, 225);

  private static final double REFERENCE_CELSIUS = 20;

  private final double ohmsPerMetreAndSquareMillimetre;
  private final double constant;

  Material(double ohmsPerMetreAndSquareMillimetre, double constant) {
    this.ohmsPerMetreAndSquareMillimetre = ohmsPerMetreAndSquareMillimetre;
    this.constant = constant;
  }

  /** Returns the resistance in ohms at 20 °C of a conductor of this length (m) and area (mm²). */
  public double ohmsAt20(double metres, double squareMillimetres) {
    return ohmsPerMetreAndSquareMillimetre * metres / squareMillimetres;
  }

  /** Returns by how much a resistance at 20 °C is greater at that temperature: (T + θ)/(T + 20). */
  public double factorFrom20(double celsius) {
    return (constant + celsius) / (constant + REFERENCE_CELSIUS);
  }
}
