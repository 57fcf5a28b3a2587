package org.tallywire.simulator.tester;

import org.apache.commons.math3.complex.Complex;
import org.tallywire.simulator.unit.DeltaCircuit;
import org.tallywire.simulator.unit.Transformer;

/**
 * The turns-ratio test of one phase on one tap: about 40 V between two HV terminals, LV open; Dyn11
 * pairs U–V with u–n, V–W with v–n, W–U with w–n.
 *
 * @param ratio of the voltages' magnitudes, HV winding to LV phase
 * @param excitationAmps from the source
 * @param displacementDegrees by which the LV voltage leads the HV voltage
 * @param volts across the HV winding
 */
record RatioTest(double ratio, double excitationAmps, double displacementDegrees, double volts) {

  /** Holds the test voltage within 1 % up to some 200 mA, as a tester does (common practice). */
  private static final double SOURCE_OHMS = 2;

  /** Computes what an instrument without errors would read. */
  static RatioTest of(Transformer unit, int tap, int phase, double sourceVolts, double celsius) {
    DeltaCircuit.Solution found =
        unit.circuit(tap, celsius).excite(phase, sourceVolts, SOURCE_OHMS);
    Complex lvVolts =
        found
            .voltsPerTurn()
            .get(phase)
            .multiply(unit.lvLinkage(phase))
            .multiply(Transformer.LV_TURNS);
    Complex quotient = lvVolts.divide(found.terminalVolts());
    return new RatioTest(
        1 / quotient.abs(),
        found.sourceAmps().abs(),
        Math.toDegrees(quotient.getArgument()),
        found.terminalVolts().abs());
  }
}
