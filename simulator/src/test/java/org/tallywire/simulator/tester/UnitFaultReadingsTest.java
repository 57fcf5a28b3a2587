package org.tallywire.simulator.tester;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.tallywire.simulator.tester.Bench.ALL;
import static org.tallywire.simulator.tester.Bench.FIRST_LV;
import static org.tallywire.simulator.tester.Bench.RATIOS;
import static org.tallywire.simulator.tester.Bench.ohms;
import static org.tallywire.simulator.tester.Bench.value;

import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.function.IntPredicate;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;
import org.tallywire.simulator.physics.Material;
import org.tallywire.simulator.scenario.Phase;
import org.tallywire.simulator.scenario.UnitFault;
import org.tallywire.simulator.scenario.UnitFault.Addition;
import org.tallywire.simulator.scenario.Winding;
import org.tallywire.simulator.tester.Measurement.Channel;
import org.tallywire.simulator.tester.Measurement.Status;

/**
 * What the test set reads of HL-0231 with each fault of the unit, by hand: delta HV, phase A is
 * U–V, B is V–W, C is W–U; star LV with neutral.
 */
class UnitFaultReadingsTest {

  private static final long SEED = 11;
  private static final List<Measurement> SOUND = Bench.run(SEED);

  private static double ratioChange(Measurement sound, Measurement faulty) {
    return value(faulty, Channel.RATIO) / value(sound, Channel.RATIO);
  }

  /** The ratios that are not meant keep their value. */
  private static void assertRatios(List<Measurement> faulty, IntPredicate meant, double times) {
    for (int i = 0; i < RATIOS; i++) {
      double change = ratioChange(SOUND.get(i), faulty.get(i));
      assertEquals(meant.test(i) ? times : 1, change, 5e-5, faulty.get(i).toString());
    }
  }

  private static void assertResistances(List<Measurement> faulty, double... times) {
    for (int i = 0; i < times.length; i++) {
      Measurement reading = faulty.get(RATIOS + i);
      double change = ohms(reading) / ohms(SOUND.get(RATIOS + i));
      assertEquals(times[i], change, times[i] * 1.5e-4, reading.toString());
    }
  }

  /** Returns what the pair across one side of a delta reads if its resistances are times these. */
  private static double acrossDelta(double own, double next, double last) {
    return own * (next + last) / (own + next + last) / (2.0 / 3);
  }

  @Test
  void aBadHvJointShowsInAllThreeLines() {
    // One side 1.3 times: lines 1.3·2/3.3 and 1·2.3/3.3 against 2/3 (Kirchhoff); the spread of
    // manufacture of 0.3 % changes that by less than a thousandth.
    List<Measurement> faulty =
        Bench.run(SEED, new UnitFault.BadJoint(Winding.HV, Phase.B, new Addition(0.3, true)));
    for (int k = 0; k < 3; k++) {
      double expected = k == 1 ? acrossDelta(1.3, 1, 1) : acrossDelta(1, 1.3, 1);
      double change = ohms(faulty.get(RATIOS + k)) / ohms(SOUND.get(RATIOS + k));
      assertEquals(expected, change, 1e-3, faulty.get(RATIOS + k).toString());
    }
    assertRatios(faulty, i -> false, 1);
  }

  @Test
  void aWornContactShowsOnItsPositionAndIsAnotherEachTime() {
    // HV is measured on tap 3; 1 Ω more on 6.4 Ω.
    UnitFault here = new UnitFault.WornContact(Phase.A, 3, new Addition(1, false), 0.5);
    UnitFault elsewhere = new UnitFault.WornContact(Phase.A, 2, new Addition(1, false), 0.5);
    List<Measurement> faulty = Bench.run(SEED, here);
    assertTrue(ohms(faulty.get(RATIOS)) > 1.03 * ohms(SOUND.get(RATIOS)));
    assertEquals(SOUND.subList(RATIOS, ALL), Bench.run(SEED, elsewhere).subList(RATIOS, ALL));
    // Of one contact that adds 0.5 to 1.5 Ω lines V–W and W–U see the same part, but each anew.
    double toB = ohms(faulty.get(RATIOS + 1)) / ohms(SOUND.get(RATIOS + 1));
    double toC = ohms(faulty.get(RATIOS + 2)) / ohms(SOUND.get(RATIOS + 2));
    assertTrue(Math.abs(toB - toC) > 2e-4, toB + " " + toC);
  }

  @Test
  void anOpenHvWindingLeavesTheOtherTwoInSeries() {
    // Without side A: U–V reads B and C in series, 3 times 2/3; V–W and W–U read one side, 1.5.
    List<Measurement> faulty = Bench.run(SEED, new UnitFault.OpenWinding(Winding.HV, Phase.A));
    double[] times = {3, 1.5, 1.5};
    for (int k = 0; k < 3; k++) {
      double change = ohms(faulty.get(RATIOS + k)) / ohms(SOUND.get(RATIOS + k));
      assertEquals(times[k], change, 0.01, faulty.get(RATIOS + k).toString());
    }
    for (int tap = 0; tap < 5; tap++) {
      // The three sides no longer take each other's flux: V–W and W–U are still wound as before.
      assertEquals(1, ratioChange(SOUND.get(3 * tap + 1), faulty.get(3 * tap + 1)), 1e-3);
      assertEquals(1, ratioChange(SOUND.get(3 * tap + 2), faulty.get(3 * tap + 2)), 1e-3);
    }
  }

  @Test
  void anOpenLvWindingGivesWordsAndNoNumber() {
    // L-22b. Nothing of the other phases changes.
    List<Measurement> faulty = Bench.run(SEED, new UnitFault.OpenWinding(Winding.LV, Phase.C));
    for (int i = 0; i < FIRST_LV + 2; i++) {
      if (i < RATIOS && i % 3 == 2) {
        assertEquals("over-range", faulty.get(i).values().get(Channel.RATIO));
        assertEquals("invalid", faulty.get(i).values().get(Channel.PHASE_DISPLACEMENT));
        assertEquals(
            value(SOUND.get(i), Channel.EXCITATION_CURRENT),
            value(faulty.get(i), Channel.EXCITATION_CURRENT),
            0.0021);
      } else {
        assertEquals(SOUND.get(i), faulty.get(i));
      }
    }
    Measurement open = faulty.get(ALL - 1);
    assertEquals("open", open.values().get(Channel.OHMS));
    assertEquals("0.0000", open.values().get(Channel.TEST_CURRENT));
    assertEquals(Status.OK, open.status());
    assertEquals(2, open.seconds());
  }

  @Test
  void aWrongTapOfOnePhaseShowsInItsRatioAndResistance() {
    // One position further: 1353/1386, 1320/1353, 1287/1320, 1254/1287; none beyond the last.
    List<Measurement> faulty = Bench.run(SEED, new UnitFault.WrongTap(Optional.of(Phase.B), 1));
    double[] turns = {1386, 1353, 1320, 1287, 1254, 1254};
    for (int i = 0; i < RATIOS; i++) {
      double times = i % 3 == 1 ? turns[i / 3 + 1] / turns[i / 3] : 1;
      assertEquals(times, ratioChange(SOUND.get(i), faulty.get(i)), 1e-3, "reading " + i);
    }
    // The resistance follows the turns: side B of the delta has 0.975 of its own (Kirchhoff).
    for (int k = 0; k < 3; k++) {
      double times = k == 1 ? acrossDelta(0.975, 1, 1) : acrossDelta(1, 0.975, 1);
      double change = ohms(faulty.get(RATIOS + k)) / ohms(SOUND.get(RATIOS + k));
      assertEquals(times, change, 5e-4, faulty.get(RATIOS + k).toString());
    }
  }

  @Test
  void aReversedLvWindingTurnsTheAngle() {
    List<Measurement> faulty = Bench.run(SEED, new UnitFault.ReversedWinding(Winding.LV, Phase.A));
    assertRatios(faulty, i -> false, 1);
    for (int i = 0; i < RATIOS; i++) {
      double degrees = Math.abs(value(faulty.get(i), Channel.PHASE_DISPLACEMENT));
      assertEquals(i % 3 == 0 ? 180 : 0, degrees, 0.07, faulty.get(i).toString());
    }
    assertResistances(faulty, 1, 1, 1, 1, 1, 1);
  }

  @ParameterizedTest
  @EnumSource(Phase.class)
  void residualMagnetismRaisesTheExcitationOfItsPhase(Phase phase) {
    List<Measurement> faulty = Bench.run(SEED, new UnitFault.ResidualMagnetism(phase, 1.0));
    for (int i = 0; i < RATIOS; i++) {
      // More current, and more of its drop in the winding: a little in the ratio.
      assertEquals(1, ratioChange(SOUND.get(i), faulty.get(i)), 1e-3, faulty.get(i).toString());
      double more =
          value(faulty.get(i), Channel.EXCITATION_CURRENT)
              / value(SOUND.get(i), Channel.EXCITATION_CURRENT);
      assertTrue(i % 3 == phase.limb() ? more > 1.02 : more > 0.999, i + " times " + more);
    }
    assertResistances(faulty, 1, 1, 1, 1, 1, 1);
  }

  @Test
  void aHotWindingReadsMoreThanTheThermometerSays() {
    // 30 K more: copper (234.5 + θ + 30)/(234.5 + θ), aluminium with 225 (IEEE C57.12.90 family).
    List<Measurement> faulty = Bench.run(SEED, new UnitFault.HotWinding(30));
    double celsius = value(SOUND.get(RATIOS), Channel.TEMPERATURE);
    assertEquals(celsius, value(faulty.get(RATIOS), Channel.TEMPERATURE), 0.11);
    double copper = 1 + 30 / (234.5 + celsius);
    double aluminium = 1 + 30 / (225 + celsius);
    assertResistances(faulty, copper, copper, copper, aluminium, aluminium, aluminium);
    assertRatios(faulty, i -> false, 1);
  }

  @Test
  void aWrongConductorIsRightAtSeventyFiveDegreesOnly() {
    // LV of copper instead of aluminium, same ohms at 75 °C:
    // ((234.5 + θ)/309.5) / ((225 + θ)/300).
    List<Measurement> faulty =
        Bench.run(SEED, new UnitFault.WrongConductor(Winding.LV, Material.COPPER));
    double celsius = value(SOUND.get(FIRST_LV), Channel.TEMPERATURE);
    double times = (234.5 + celsius) / 309.5 / ((225 + celsius) / 300);
    assertTrue(times > 1.005, "times " + times);
    assertResistances(faulty, 1, 1, 1, times, times, times);
    assertRatios(faulty, i -> false, 1);
  }

  @Test
  void aWrongPlateShowsInEveryRatio() {
    // Built for 415 V: √3·11000/415 = 45.9098 on tap 3 (trade check value), turns are whole.
    UnitFault fault =
        new UnitFault.WrongPlate(OptionalDouble.empty(), OptionalDouble.of(415), Optional.empty());
    List<Measurement> faulty = Bench.run(SEED, fault);
    for (int i = 6; i < 9; i++) {
      assertEquals(45.90978, value(faulty.get(i), Channel.RATIO), 45.9 * 0.005);
      assertTrue(ratioChange(SOUND.get(i), faulty.get(i)) > 1.035);
    }
  }

  @Test
  void aShortedLvTurnLoadsTheSourceAndRaisesTheRatio() {
    // 30 mV a turn on 0.07 mΩ and some 0.1 mΩ of leakage: more than 100 ampere-turns by 1320 turns.
    // 29 of 30 turns are left (+3.4 %), and what the short draws drops in the LV leakage.
    List<Measurement> faulty = Bench.run(SEED, new UnitFault.ShortedTurns(Winding.LV, Phase.B, 1));
    for (int i = 0; i < RATIOS; i++) {
      double more =
          value(faulty.get(i), Channel.EXCITATION_CURRENT)
              / value(SOUND.get(i), Channel.EXCITATION_CURRENT);
      double times = ratioChange(SOUND.get(i), faulty.get(i));
      if (i % 3 == 1) {
        assertTrue(value(faulty.get(i), Channel.EXCITATION_CURRENT) > 1e5 / 1320, "more " + more);
        assertTrue(times > 30 / 29.0 && times < 2, i + " ratio times " + times);
      } else {
        assertTrue(more > 1 && more < 2, i + " times " + more);
        assertEquals(1, times, 1e-3, i + " ratio times");
      }
    }
  }
}
