package org.tallywire.simulator.tester;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.tallywire.simulator.tester.Bench.ALL;
import static org.tallywire.simulator.tester.Bench.HOLLOW_LANE;
import static org.tallywire.simulator.tester.Bench.RATIOS;
import static org.tallywire.simulator.tester.Bench.ohms;
import static org.tallywire.simulator.tester.Bench.value;

import java.time.Duration;
import java.util.List;
import java.util.Optional;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.tallywire.simulator.scenario.Fault;
import org.tallywire.simulator.scenario.Faults;
import org.tallywire.simulator.scenario.Phase;
import org.tallywire.simulator.scenario.Planted;
import org.tallywire.simulator.scenario.Scenario;
import org.tallywire.simulator.scenario.TesterFault.FrozenDisplay;
import org.tallywire.simulator.scenario.TesterPlan;
import org.tallywire.simulator.scenario.UnitFault.Addition;
import org.tallywire.simulator.scenario.UnitFault.WornContact;
import org.tallywire.simulator.tester.Measurement.Channel;

/** A test set that measures everything several times, one round after the other. */
class RoundsTest {

  private static final int FIRST_HV = RATIOS;

  private static Scenario scenario(int rounds, long seed, Fault... faults) {
    TesterPlan plan =
        new TesterPlan(TesterPlan.Language.LINE, 0.03, 0.1, 0.2, 40, 1, 10, 50, 0.02, 0, rounds);
    return Bench.scenario(HOLLOW_LANE, plan, seed, faults);
  }

  private static double milliamperes(Measurement measurement) {
    return value(measurement, Channel.EXCITATION_CURRENT);
  }

  @Test
  void eachRoundHasTheOrderOfTheFirstAndTheFirstIsThatOfASingleRun() {
    List<Measurement> single = Bench.run(3);
    List<Measurement> run = Bench.run(scenario(3, 3));
    assertEquals(3 * ALL, run.size());
    assertEquals(single, run.subList(0, ALL));
    for (int i = 0; i < run.size(); i++) {
      Measurement first = single.get(i % ALL);
      assertEquals(first.windings(), run.get(i).windings());
      assertEquals(first.phase(), run.get(i).phase());
      assertEquals(first.tap(), run.get(i).tap());
    }
  }

  @Test
  void aRunIsOverAfterItsLastRound() {
    TestRun run = new TestRun(scenario(2, 1), new Faults(List.of()));
    for (int i = 0; i < 2 * ALL; i++) {
      assertFalse(run.over());
      run.next();
    }
    assertTrue(run.over());
  }

  @Test
  @DisplayName("FIST 3-30, 9.3.3: residual flux of a resistance test is seen in a later excitation")
  void theSecondRoundIsMeasuredOnAMagnetisedCore() {
    // Noise of a current: a sixth of 0.2 %; the resistance tests leave some tenths of a tesla.
    for (long seed = 1; seed <= 5; seed++) {
      List<Measurement> run = Bench.run(scenario(2, seed));
      for (int i = 0; i < RATIOS; i++) {
        double change = milliamperes(run.get(ALL + i)) / milliamperes(run.get(i));
        assertTrue(change > 1.01, "seed " + seed + ", " + run.get(i) + ": " + change);
        double ratio = value(run.get(ALL + i), Channel.RATIO) / value(run.get(i), Channel.RATIO);
        assertEquals(1, ratio, 1e-3, "seed " + seed + ": the ratio does not see it");
      }
    }
  }

  @Test
  void noiseAndWornContactsAreOthersInEachRound() {
    WornContact worn = new WornContact(Phase.C, 3, new Addition(0.06, true), 0.5);
    List<Measurement> sound = Bench.run(scenario(3, 27));
    List<Measurement> run = Bench.run(scenario(3, 27, worn));
    double[] added = new double[3];
    for (int round = 0; round < 3; round++) {
      int index = round * ALL + FIRST_HV + 2;
      assertEquals("HVC", run.get(index).windings() + run.get(index).phase());
      added[round] = ohms(run.get(index)) / ohms(sound.get(index)) - 1;
      assertTrue(added[round] > 0.01, "round " + round + ": " + added[round]);
    }
    assertTrue(Math.abs(added[0] - added[1]) > 0.001, added[0] + " and " + added[1]);
    assertTrue(Math.abs(added[1] - added[2]) > 0.001, added[1] + " and " + added[2]);
    // The source holds the same current each time: only noise makes it another.
    assertNotEquals(amperes(sound, 0), amperes(sound, 1));
    assertNotEquals(amperes(sound, 1), amperes(sound, 2));
  }

  private static List<Double> amperes(List<Measurement> run, int round) {
    return run.subList(round * ALL + FIRST_HV, (round + 1) * ALL).stream()
        .map(m -> value(m, Channel.TEST_CURRENT))
        .toList();
  }

  @Test
  void aDisplayThatFreezesAtTheEndOfARoundShowsThatInTheNext() {
    TestRun run = new TestRun(scenario(2, 6), new Faults(List.of()));
    for (int i = 0; i < ALL; i++) {
      run.next();
    }
    // It freezes after the last reading of the first round, before the leads are free.
    Planted frozen = new Planted(new FrozenDisplay(), run.elapsed(), Optional.empty());
    List<Measurement> seen = Bench.run(new TestRun(scenario(2, 6), new Faults(List.of(frozen))));
    for (int i = ALL; i < 2 * ALL; i++) {
      assertEquals(seen.get(ALL - 1).values(), seen.get(i).values());
    }
    assertNotEquals(seen.get(ALL - 2).values(), seen.get(ALL - 1).values());
    assertTrue(run.elapsed().compareTo(Duration.ofSeconds(30)) > 0);
  }
}
