package org.tallywire.simulator.tester;

import org.tallywire.simulator.unit.Transformer;

/**
 * The winding-resistance test of one phase with direct current, four-wire, after the current has
 * settled.
 *
 * @param ohms between the terminals
 * @param testAmps through the terminals
 */
record ResistanceTest(double ohms, double testAmps) {

  /** Above 1.2 times the no-load current, below a tenth of the rated current (trade article). */
  private static final double HV_AMPS = 1;

  private static final double LV_AMPS = 10;

  /** Computes the reading between HV lines: phase {@code k} of the delta beside the other two. */
  static ResistanceTest hv(Transformer unit, int phase, double celsius) {
    int tap = Transformer.PRINCIPAL_TAP;
    double own = unit.hvOhms(phase, tap, celsius);
    double next = unit.hvOhms((phase + 1) % Transformer.PHASES, tap, celsius);
    double last = unit.hvOhms((phase + 2) % Transformer.PHASES, tap, celsius);
    return new ResistanceTest(lineOhms(own, next, last), HV_AMPS);
  }

  /** Computes the reading from LV line to neutral. */
  static ResistanceTest lv(Transformer unit, int phase, double celsius) {
    return new ResistanceTest(unit.lvOhms(phase, celsius), LV_AMPS);
  }

  /** Returns the resistance between the ends of one side of a delta (Kirchhoff). */
  static double lineOhms(double own, double next, double last) {
    return own * (next + last) / (own + next + last);
  }
}
