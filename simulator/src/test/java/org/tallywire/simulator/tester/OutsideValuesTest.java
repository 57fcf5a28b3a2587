package org.tallywire.simulator.tester;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.util.List;
import java.util.stream.IntStream;
import org.apache.commons.math3.complex.Complex;
import org.junit.jupiter.api.Test;
import org.tallywire.simulator.unit.Coil;
import org.tallywire.simulator.unit.DeltaCircuit;
import org.tallywire.simulator.unit.MagneticCircuit;
import org.tallywire.simulator.unit.Material;
import org.tallywire.simulator.unit.Transformer;

/** The parts of the physics against figures from elsewhere or worked out by hand. */
class OutsideValuesTest {

  private static final double HERTZ = 50;

  private static MagneticCircuit core(double outer, double centre) {
    return new MagneticCircuit(
        List.of(new Complex(outer), new Complex(centre), new Complex(outer)), 0);
  }

  private static List<Coil> delta(int turns, double ohms) {
    return IntStream.range(0, 3).mapToObj(k -> new Coil(k, turns, new Complex(ohms))).toList();
  }

  @Test
  void centreLimbNeedsThreeQuartersOfTheOutersCurrent() {
    // a + ab/(a+b) against b + a/2 with a = 2, b = 1: 2 / 2.6667 = 0.75 (derived by hand).
    MagneticCircuit core = core(2, 1);
    double outer = 1 / core.permeance(0, 0).abs();
    double centre = 1 / core.permeance(1, 1).abs();
    assertEquals(2 + 2.0 / 3, outer, 1e-12);
    assertEquals(2, centre, 1e-12);
    assertEquals(0.75, centre / outer, 1e-12);
  }

  @Test
  void fluxesOfALimbsForceAddUpToWhatReturnsThroughTheAir() {
    // Kirchhoff: with an air path of permeance 0.5 beside limbs 2, 1, 2 and 1 A on limb 0:
    // θ = (1/2)/(1/2 + 1 + 1/2 + 0.5) = 0.2; fluxes 0.4, −0.2, −0.1; air 0.1.
    MagneticCircuit core =
        new MagneticCircuit(List.of(new Complex(2), new Complex(1), new Complex(2)), 0.5);
    assertEquals(0.4, core.permeance(0, 0).getReal(), 1e-12);
    assertEquals(-0.2, core.permeance(1, 0).getReal(), 1e-12);
    assertEquals(-0.1, core.permeance(2, 0).getReal(), 1e-12);
  }

  @Test
  void aSymmetricalDeltaTakesTheCurrentFoundByHand() {
    // All reluctances R, no air path: I = 1.5·V/(r + jωN²/R), and V drops r·I/1.5 of it.
    int turns = 1000;
    double ohms = 6;
    double reluctance = 30_000;
    DeltaCircuit circuit =
        new DeltaCircuit(core(reluctance, reluctance), delta(turns, ohms), List.of(), HERTZ);
    Complex winding = new Complex(ohms, 2 * Math.PI * HERTZ * turns * turns / reluctance);
    Complex expected = new Complex(60).divide(winding);
    for (int phase = 0; phase < 3; phase++) {
      DeltaCircuit.Solution found = circuit.excite(phase, 40, 0);
      assertEquals(0, expected.subtract(found.sourceAmps()).abs(), 1e-12);
      Complex drop = found.sourceAmps().multiply(ohms / 1.5);
      Complex induced = found.voltsPerTurn().get(phase).multiply(turns);
      assertEquals(0, new Complex(40).subtract(drop).subtract(induced).abs(), 1e-10);
    }
  }

  @Test
  void shortedTurnsWithoutLeakageLeaveTheRatioAsItWas() {
    // Ideal core, N turns of r1 each, s of them closed on themselves: the current they draw drops
    // s/N of the voltage in the others, so V = N·e exactly (by hand; see Fault.ShortedTurns), and
    // the source gives s·e/((N − s)·r1).
    int turns = 1000;
    int shorted = 3;
    double ohmsPerTurn = 0.005;
    Coil left = new Coil(0, turns - shorted, new Complex((turns - shorted) * ohmsPerTurn));
    List<Coil> sound = delta(turns, turns * ohmsPerTurn);
    Coil loop = new Coil(0, shorted, new Complex(shorted * ohmsPerTurn));
    DeltaCircuit circuit =
        new DeltaCircuit(
            core(1e-3, 1e-3), List.of(left, sound.get(1), sound.get(2)), List.of(loop), HERTZ);
    DeltaCircuit.Solution found = circuit.excite(0, 40, 0);
    double perTurn = found.voltsPerTurn().get(0).abs();
    assertEquals(turns, 40 / perTurn, 1e-4);
    assertEquals(
        shorted * perTurn / ((turns - shorted) * ohmsPerTurn), found.sourceAmps().abs(), 1e-6);
  }

  @Test
  void aLeakingShortLowersTheRatioAsFoundByHand() {
    // As above with reactance x in the loop of resistance ρ: the other two windings take current
    // too, and V/e = N − (2/3)·s·jx/(ρ + jx) exactly; with x = ρ: N − s/3·(1 + j).
    int turns = 1000;
    int shorted = 20;
    double ohmsPerTurn = 0.005;
    double loopOhms = shorted * ohmsPerTurn;
    Coil left = new Coil(0, turns - shorted, new Complex((turns - shorted) * ohmsPerTurn));
    List<Coil> sound = delta(turns, turns * ohmsPerTurn);
    DeltaCircuit circuit =
        new DeltaCircuit(
            core(1e-3, 1e-3),
            List.of(left, sound.get(1), sound.get(2)),
            List.of(new Coil(0, shorted, new Complex(loopOhms, loopOhms))),
            HERTZ);
    Complex quotient = new Complex(40).divide(circuit.excite(0, 40, 0).voltsPerTurn().get(0));
    assertEquals(turns - shorted / 3.0, quotient.getReal(), 1e-3);
    assertEquals(-shorted / 3.0, quotient.getImaginary(), 1e-3);
  }

  @Test
  void nearestTurnsOfTheThirteenTurnExample() {
    // 480Y/277 V with 13 turns, 13 200 V delta: 619.208, taps 603.728 and 634.688 turns (derived).
    double phaseVolts = 480 / Math.sqrt(3);
    assertEquals(619, Transformer.nearestTurns(13_200, phaseVolts, 13));
    assertEquals(604, Transformer.nearestTurns(12_870, phaseVolts, 13));
    assertEquals(635, Transformer.nearestTurns(13_530, phaseVolts, 13));
  }

  @Test
  void theTurnsOfTheUnitAreWithinATenthOfAPerMilleOfThePlate() {
    // Dyn11: reading √3·K; 11 000/433 V with ±2 × 2.5 %: 46.201355, 45.101323, 44.001291,
    // 42.901258, 41.801226 (derived from the factor √3 for Dy, Modelica Standard Library).
    double[] plate = {46.201355, 45.101323, 44.001291, 42.901258, 41.801226};
    for (int tap = 1; tap <= plate.length; tap++) {
      double ratio = (double) Transformer.hvTurns(tap) / Transformer.LV_TURNS;
      assertEquals(plate[tap - 1], ratio, plate[tap - 1] * 1e-4, "tap " + tap);
    }
  }

  @Test
  void conductorsAgreeWithPublishedFigures() {
    // 20 → 75 °C: copper 234.5 gives 1.216110, aluminium 225 gives 1.224490 (constants of the
    // IEEE C57.12.90 family). 95 mm² of IACS copper: 0.181488 Ω/km (1/58; NBS Handbook 100).
    assertEquals(1.216110, Material.COPPER.factorFrom20(75), 5e-7);
    assertEquals(1.224490, Material.ALUMINIUM.factorFrom20(75), 5e-7);
    assertEquals(0.181488, Material.COPPER.ohmsAt20(1000, 95), 5e-7);
    // AWG 10 by diameter 0.101897 in: 3.27704 Ω/km at 20 °C (NBS Handbook 100: 0.9989 Ω/1000 ft).
    double area = Math.PI / 4 * Math.pow(0.101897 * 25.4, 2);
    assertEquals(3.27704, Material.COPPER.ohmsAt20(1000, area), 2e-4);
  }

  @Test
  void lineResistancesOfADelta() {
    // Phases 0.300, 0.306, 0.303 Ω: lines 0.200990099010, 0.202990099010, 0.202 (Kirchhoff).
    assertEquals(0.200990099010, ResistanceTest.lineOhms(0.300, 0.306, 0.303), 1e-12);
    assertEquals(0.202990099010, ResistanceTest.lineOhms(0.306, 0.303, 0.300), 1e-12);
    assertEquals(0.202, ResistanceTest.lineOhms(0.303, 0.300, 0.306), 1e-12);
  }

  @Test
  void numbersKeepTheirDigits() {
    assertEquals("46.2000", MeasuringErrors.significant(46.2, 6));
    assertEquals("2.3200", MeasuringErrors.significant(2.32, 5));
    assertEquals("123.46", MeasuringErrors.significant(123.456, 5));
    assertEquals("0.012346", MeasuringErrors.significant(0.0123456, 5));
  }
}
