package org.tallywire.simulator.tester;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.List;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.tallywire.simulator.physics.Coil;
import org.tallywire.simulator.physics.Core;
import org.tallywire.simulator.physics.LinearPath;
import org.tallywire.simulator.physics.Material;
import org.tallywire.simulator.physics.Network;
import org.tallywire.simulator.scenario.Group;
import org.tallywire.simulator.scenario.LeadFault;
import org.tallywire.simulator.scenario.Phase;
import org.tallywire.simulator.scenario.Plate;
import org.tallywire.simulator.scenario.Scenario;
import org.tallywire.simulator.scenario.UnitFault;
import org.tallywire.simulator.scenario.Winding;
import org.tallywire.simulator.tester.ResistanceTest.End;
import org.tallywire.simulator.tester.ResistanceTest.Sample;
import org.tallywire.simulator.tester.ResistanceTest.Source;
import org.tallywire.simulator.unit.Hookup;
import org.tallywire.simulator.unit.Unit;

/** The resistance test itself, without the errors of an instrument. */
class DirectCurrentReadingsTest {

  private static final Leads LEADS = new Leads(0.02, List.of());
  private static final Source HV = new Source(1, 50, 60);
  private static final Source LV = new Source(10, 50, 60);

  /** So slow that inductance has no part in the voltage. */
  private static final double NEARLY_DIRECT = 1e-9;

  private static Network network(Unit unit, Scenario scenario, UnitFault... faults) {
    int tap = scenario.plate().taps().principal();
    return unit.network(tap, 20, List.of(faults), new Random(1));
  }

  /** Returns the resistance between two terminals, found by the other solver. */
  private static double trueOhms(Network network, Hookup.Pair pair) {
    Network.Alternating found = network.alternating(pair.from(), pair.to(), 1, 1, NEARLY_DIRECT);
    return found.volts(pair.from(), pair.to()).orElseThrow().abs() / found.amps().abs();
  }

  @ParameterizedTest
  @ValueSource(strings = {"Dyn11", "YNd11", "Yzn5", "Dd0", "Yd1", "Yy0", "Ii0"})
  void aSettledReadingIsTheResistance(String text) {
    Group group = Group.of(text);
    Scenario scenario = Bench.scenario(Bench.plate(text), Bench.TESTER, 4);
    for (Winding winding : Winding.values()) {
      for (Hookup.Pair pair : Hookup.resistance(group, winding)) {
        Unit unit = new Unit(scenario);
        double ohms = trueOhms(network(unit, scenario), pair);
        ResistanceTest test =
            ResistanceTest.of(
                network(unit, scenario), pair, LEADS, winding == Winding.HV ? HV : LV);
        assertEquals(End.SETTLED, test.end(), text + " " + pair + " " + test.course());
        assertEquals(ohms, test.ohms(), ohms * 5e-6, text + " " + pair);
        assertEquals(winding == Winding.HV ? 1 : 10, test.testAmps(), 1e-5);
      }
    }
  }

  @Test
  void theReadingFallsTowardsItsEnd() {
    Scenario scenario = Bench.scenario(3);
    Unit unit = new Unit(scenario);
    Hookup.Pair pair = Hookup.resistance(scenario.plate().group(), Winding.HV).get(0);
    List<Sample> course = ResistanceTest.of(network(unit, scenario), pair, LEADS, HV).course();
    for (int i = 1; i < course.size(); i++) {
      assertTrue(course.get(i).ohms() < course.get(i - 1).ohms(), "it falls: " + course);
    }
    assertTrue(course.get(0).ohms() > 1.01 * course.get(course.size() - 1).ohms());
  }

  @Test
  void aReadingTakenTooEarlySaysSo() {
    Scenario scenario = Bench.scenario(3);
    Unit unit = new Unit(scenario);
    Hookup.Pair pair = Hookup.resistance(scenario.plate().group(), Winding.HV).get(0);
    ResistanceTest test =
        ResistanceTest.of(network(unit, scenario), pair, LEADS, new Source(1, 50, 1));
    assertEquals(End.NOT_SETTLED, test.end());
    assertEquals(1, test.seconds());
    double ohms = trueOhms(network(unit, scenario), pair);
    assertTrue(test.ohms() > ohms * (1 + 1e-6), test.ohms() + " of " + ohms);
  }

  @Test
  void aSourceWithoutEnoughVoltageMeasuresWithLessOrNotAtAll() {
    // About 4.2 Ω between the lines and two leads of 0.02 Ω.
    Scenario scenario = Bench.scenario(3);
    Hookup.Pair pair = Hookup.resistance(scenario.plate().group(), Winding.HV).get(1);
    Unit unit = new Unit(scenario);
    double ohms = trueOhms(network(unit, scenario), pair);
    Source weak = new Source(5, 5, 200);
    ResistanceTest less = ResistanceTest.of(network(unit, scenario), pair, LEADS, weak);
    assertEquals(End.SETTLED, less.end());
    assertEquals(ohms, less.ohms(), ohms * 5e-6);
    assertEquals(5 / (ohms + 0.04), less.testAmps(), 1e-5);
    // 1.18 A of 20 A still measure; a path of 10 kΩ lets 0.5 mA of 1 A through, which is none.
    Source small = new Source(20, 5, 200);
    ResistanceTest little = ResistanceTest.of(network(unit, scenario), pair, LEADS, small);
    assertEquals(End.SETTLED, little.end());
    assertEquals(ohms, little.ohms(), ohms * 5e-6);
    UnitFault[] broken = {broken(Phase.A), broken(Phase.B), broken(Phase.C)};
    Source usual = new Source(1, 5, 200);
    ResistanceTest none = ResistanceTest.of(network(unit, scenario, broken), pair, LEADS, usual);
    assertEquals(End.OPEN, none.end());
  }

  private static UnitFault broken(Phase phase) {
    return new UnitFault.BadJoint(Winding.HV, phase, new UnitFault.Addition(15_000, false));
  }

  @Test
  void theWindingsOfTheSmallestUnitAreMeasuredWithWhatTheSourceCanGive() {
    // 5 kVA, 11 kV: some 570 Ω between the lines, so that 50 V give 0.09 A of the 1 A set.
    Plate plate =
        new Plate(
            "T-5",
            5,
            11_000,
            400,
            Group.of("Dyn11"),
            50,
            new Plate.Taps(Winding.HV, 1, 0, 1),
            4,
            Material.COPPER,
            Material.COPPER);
    Scenario scenario = Bench.scenario(plate, Bench.TESTER, 1);
    for (Hookup.Pair pair : Hookup.resistance(plate.group(), Winding.HV)) {
      Unit unit = new Unit(scenario);
      double ohms = trueOhms(network(unit, scenario), pair);
      ResistanceTest test = ResistanceTest.of(network(unit, scenario), pair, LEADS, HV);
      assertEquals(End.SETTLED, test.end());
      assertEquals(ohms, test.ohms(), ohms * 5e-6);
      assertEquals(50 / (ohms + 0.04), test.testAmps(), 1e-5);
    }
  }

  @Test
  void leadsOfAnyResistanceDoNotCount() {
    // Four-wire (IEEE C57.12.91): 2 Ω in each lead, 2.4 mΩ between the clips.
    Scenario scenario = Bench.scenario(3);
    Hookup.Pair pair = Hookup.resistance(scenario.plate().group(), Winding.LV).get(1);
    Unit unit = new Unit(scenario);
    double ohms = trueOhms(network(unit, scenario), pair);
    ResistanceTest test =
        ResistanceTest.of(network(unit, scenario), pair, new Leads(2, List.of()), LV);
    assertEquals(End.SETTLED, test.end());
    assertEquals(ohms, test.ohms(), ohms * 5e-6);
  }

  @Test
  void aResistanceTestLeavesTheCoreMagnetisedAndTheExcitationHigher() {
    // FIST 3-30, 9.3.3: residual magnetism left by a test with direct current falsifies excitation.
    Scenario scenario = Bench.scenario(3);
    Unit unit = new Unit(scenario);
    double[] before = excitation(unit, scenario);
    Hookup.Pair pair = Hookup.resistance(scenario.plate().group(), Winding.HV).get(0);
    double first = ResistanceTest.of(network(unit, scenario), pair, LEADS, HV).ohms();
    double tesla = Math.abs(unit.core().residualTesla(0));
    assertTrue(tesla > 0.3 && tesla < 1.6, "residual " + tesla);
    double[] after = excitation(unit, scenario);
    assertTrue(after[0] > before[0] * 1.05, after[0] + " was " + before[0]);
    for (int phase = 1; phase < 3; phase++) {
      assertTrue(after[phase] > before[phase] * 1.005, after[phase] + " was " + before[phase]);
    }
    double again = ResistanceTest.of(network(unit, scenario), pair, LEADS, HV).ohms();
    assertEquals(first, again, first * 1e-5);
  }

  private static double[] excitation(Unit unit, Scenario scenario) {
    return Hookup.ratio(scenario.plate().group()).stream()
        .mapToDouble(
            hookup -> RatioTest.of(network(unit, scenario), hookup, LEADS, 40, 50).excitationAmps())
        .toArray();
  }

  @Test
  void theSourceOfTheRatioTestHasTwoOhmsInside() {
    // 400 Ω beside a winding that takes next to nothing: 40 V·400/(400 + 2 + 2·0.02).
    Network network = new Network(Core.oneLimb(new LinearPath(1e-3), 0));
    network.coil("1U", "1V", new Coil(0, 1000, 1, 0, 0));
    network.resistor("1U", "1V", 400);
    network.coil("2U", "2N", new Coil(0, 100, 1, 0, 0));
    Hookup hookup = new Hookup(Phase.A, "1U", List.of("1V"), "2U", "2N", 1);
    RatioTest test = RatioTest.of(network, hookup, LEADS, 40, 50);
    assertEquals(39.797, test.hvVolts(), 1e-3);
    assertEquals(0.099493, test.excitationAmps(), 2e-6);
    assertEquals(10, test.ratio(), 1e-4);
  }

  @Test
  void aSourceAtItsLimitLowersItsVoltage() {
    // 400 V on an LV winding of 250 V saturate the core: the source gives 1 A and less voltage.
    Scenario scenario = Bench.scenario(3);
    Unit unit = new Unit(scenario);
    Hookup backwards = new Hookup(Phase.A, "2U", List.of("2N"), "1U", "1V", 1);
    RatioTest test = RatioTest.of(network(unit, scenario), backwards, LEADS, 400, 50);
    assertTrue(test.limited());
    assertEquals(1, test.excitationAmps(), 1e-3);
    assertTrue(test.hvVolts() < 380 && test.hvVolts() > 10, "volts " + test.hvVolts());
    assertEquals(30 / 1320.0, test.ratio(), 30 / 1320.0 * 0.02);
  }

  @Test
  void looseClipsCarryNoCurrent() {
    Scenario scenario = Bench.scenario(Bench.plate("YNd11"), Bench.TESTER, 4);
    Hookup.Pair pair = Hookup.resistance(Group.of("YNd11"), Winding.HV).get(0);
    Leads loose = new Leads(0.02, List.of(new LeadFault.MissingNeutral(Winding.HV)));
    ResistanceTest test = ResistanceTest.of(network(new Unit(scenario), scenario), pair, loose, HV);
    assertEquals(End.OPEN, test.end());
    assertEquals(0, test.testAmps());
  }
}
