package org.tallywire.acceptance.resistance;

import org.apache.commons.math3.util.FastMath;

/**
 * A winding on a constant voltage: i(t) = V / R (1 − e^(−t/τ)), τ = L / R (found: Lessons In
 * Electric Circuits, DC chapter 16). Double precision, relative error below 1e-14; the same on
 * every machine.
 */
public final class Charging {

  private Charging() {}

  /** Returns the current in ampere after some seconds. */
  public static double amperes(double volts, double ohms, double henries, double seconds) {
    return -volts / ohms * FastMath.expm1(-seconds * ohms / henries);
  }

  /** Returns the part of the voltage that the inductance still takes. */
  public static double inductiveVolts(double volts, double ohms, double henries, double seconds) {
    return volts * FastMath.exp(-seconds * ohms / henries);
  }

  /** Returns the stored energy L i² / 2 in joule (derived). */
  public static double joules(double henries, double amperes) {
    return henries * amperes * amperes / 2;
  }

  /**
   * Returns the share by which U / I at the terminals is above R after some time constants: e^(−x)
   * / (1 − e^(−x)) (derived).
   */
  public static double apparentError(double timeConstants) {
    return 1 / FastMath.expm1(timeConstants);
  }

  /** Returns after how many time constants that share is left: ln(1 + 1 / share) (derived). */
  public static double timeConstants(double share) {
    if (!(share > 0)) {
      throw new IllegalArgumentException(
          "the share of error that may be left is " + share + ": it has to be greater than zero");
    }
    return FastMath.log1p(1 / share);
  }
}
