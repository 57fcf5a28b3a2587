package org.tallywire.simulator.unit;

import org.tallywire.simulator.scenario.Group.Connection;
import org.tallywire.simulator.scenario.Plate;
import org.tallywire.simulator.scenario.Winding;

/**
 * How many turns each phase of a unit has on each position of its tap changer.
 *
 * <p>The LV winding gets the number that comes nearest to {@code 0.527·√kVA} volts a turn, for the
 * power of three limbs (practice; the factor is fitted to HL-0231, which has 30), or a number near
 * that one with which the ratio comes out well. Every other number is the one nearest to its rated
 * voltage: IEEE C57.12.00 §9.1 asks for the nearest turn where turns are few (from memory). A
 * zigzag phase has 2/√3 of the turns of a star for the same voltage (Modelica Standard Library), an
 * even number for its two halves.
 */
final class Turns {

  private static final double VOLTS_AND_ROOT_KVA = 0.527;

  /** Half of what IEC 60076-1 table 1 allows the ratio: a designer looks for better (practice). */
  private static final double MOST_ERROR = 0.0025;

  /** By how much of them the LV turns may differ from the draft for that. */
  private static final double SEARCHED_SHARE = 0.2;

  private final Plate plate;
  private final double voltsPerTurn;

  Turns(Plate plate) {
    this.plate = plate;
    double draft =
        VOLTS_AND_ROOT_KVA * StrictMath.sqrt(3 * plate.kilovoltAmperes() / phases(plate));
    double volts = coilVolts(Winding.LV, plate.lvVolts());
    this.voltsPerTurn = volts / lvTurns(volts, nearest(Winding.LV, volts / draft));
  }

  /** Returns the number nearest to the draft with which the ratio is well, else the best. */
  private int lvTurns(double volts, int drafted) {
    int step = step(Winding.LV);
    int best = drafted;
    for (int away = 0; away <= SEARCHED_SHARE * drafted; away += step) {
      for (int turns : new int[] {drafted - away, drafted + away}) {
        if (error(volts / turns) <= MOST_ERROR) {
          return turns;
        }
        best = error(volts / turns) < error(volts / best) ? turns : best;
      }
    }
    return best;
  }

  /** Returns the part by which whole HV turns miss what so many volts a turn ask for. */
  private double error(double voltsPerTurn) {
    double wanted = coilVolts(Winding.HV, plate.hvVolts()) / voltsPerTurn;
    return Math.abs(nearest(Winding.HV, wanted) / wanted - 1);
  }

  /** Returns the number of phases. */
  static int phases(Plate plate) {
    return plate.group().singlePhase() ? 1 : 3;
  }

  /** Returns the voltage of a phase at this line voltage. */
  static double phaseVolts(Connection connection, double lineVolts) {
    return switch (connection) {
      case Y, Z -> lineVolts / StrictMath.sqrt(3);
      case D, I -> lineVolts;
    };
  }

  /** Returns the voltage that each turn of the core's limbs has at rated voltage. */
  double voltsPerTurn() {
    return voltsPerTurn;
  }

  /** Returns the turns of a phase from end to end, in zigzag of both halves together. */
  int of(Winding winding, int position) {
    double volts = winding == Winding.HV ? plate.hvVolts(position) : plate.lvVolts(position);
    return nearest(winding, coilVolts(winding, volts) / voltsPerTurn);
  }

  /** Returns the turns of a phase on the position of the rated voltage. */
  int rated(Winding winding) {
    return of(winding, plate.taps().principal());
  }

  /** Returns the sum of the voltages of all turns of a phase, in zigzag regardless of phase. */
  private double coilVolts(Winding winding, double lineVolts) {
    Connection connection = plate.group().connection(winding);
    double volts = phaseVolts(connection, lineVolts);
    return connection == Connection.Z ? volts * 2 / StrictMath.sqrt(3) : volts;
  }

  private int nearest(Winding winding, double turns) {
    int step = step(winding);
    return step * (int) Math.max(1, Math.round(turns / step));
  }

  private int step(Winding winding) {
    return plate.group().connection(winding) == Connection.Z ? 2 : 1;
  }
}
