package org.tallywire.simulator.scenario;

import org.tallywire.simulator.physics.Material;

/**
 * What a plate says of a unit, and so how it is built unless a fault says otherwise.
 *
 * @param serial of the unit
 * @param kilovoltAmperes rated power
 * @param hvVolts line to line on the principal tap (single-phase: of the winding)
 * @param lvVolts line to line (single-phase: of the winding)
 * @param group winding connection
 * @param hertz rated frequency
 * @param taps of one winding
 * @param impedancePercent rated short-circuit impedance
 * @param hvConductor metal of the HV winding
 * @param lvConductor metal of the LV winding
 */
public record Plate(
    String serial,
    double kilovoltAmperes,
    double hvVolts,
    double lvVolts,
    Group group,
    double hertz,
    Taps taps,
    double impedancePercent,
    Material hvConductor,
    Material lvConductor) {

  /**
   * Equal steps; position 1 has the most turns.
   *
   * @param winding that is tapped
   * @param positions 1 or more; 1 means without taps
   * @param stepPercent of the rated voltage from one position to the next
   * @param principal position of the rated voltage
   */
  public record Taps(Winding winding, int positions, double stepPercent, int principal) {

    /** A winding without taps. */
    public static final Taps NONE = new Taps(Winding.HV, 1, 1, 1);

    /** The most positions: what on-load tap changers of this size have (practice). */
    static final int MOST = 35;

    public Taps {
      if (positions < 1 || principal < 1 || principal > positions) {
        throw new IllegalArgumentException(
            "principal position %d of %d".formatted(principal, positions));
      }
      Require.notNegative(stepPercent);
    }

    /** Returns the voltage on a position as a part of the rated one. */
    public double share(int position) {
      return 1 + (principal - position) * stepPercent / 100;
    }
  }

  public Plate {
    Require.positive(kilovoltAmperes, hvVolts, lvVolts, hertz, impedancePercent);
  }

  /** Returns what a winding is made of by the plate. */
  public Material conductor(Winding winding) {
    return winding == Winding.HV ? hvConductor : lvConductor;
  }

  /**
   * Returns about how many turns a phase has, to tell sense from nonsense: volts per turn are
   * roughly half the root of the kilovolt-amperes (practice).
   */
  double roughTurns(Winding winding) {
    double volts = winding == Winding.HV ? hvVolts : lvVolts;
    Group.Connection connection = group.connection(winding);
    boolean star = connection == Group.Connection.Y || connection == Group.Connection.Z;
    return (star ? volts / Math.sqrt(3) : volts) / (0.5 * Math.sqrt(kilovoltAmperes));
  }

  /** Returns the HV voltage, line to line, on a position. */
  public double hvVolts(int position) {
    return taps.winding() == Winding.HV ? hvVolts * taps.share(position) : hvVolts;
  }

  /** Returns the LV voltage, line to line, on a position. */
  public double lvVolts(int position) {
    return taps.winding() == Winding.LV ? lvVolts * taps.share(position) : lvVolts;
  }
}
