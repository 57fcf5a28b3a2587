package org.tallywire.simulator.tester;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.tallywire.simulator.tester.Bench.ALL;
import static org.tallywire.simulator.tester.Bench.FIRST_LV;
import static org.tallywire.simulator.tester.Bench.RATIOS;
import static org.tallywire.simulator.tester.Bench.value;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.tallywire.simulator.physics.Material;
import org.tallywire.simulator.scenario.Faults;
import org.tallywire.simulator.scenario.Group;
import org.tallywire.simulator.scenario.Phase;
import org.tallywire.simulator.scenario.Planted;
import org.tallywire.simulator.scenario.Plate;
import org.tallywire.simulator.scenario.Scenario;
import org.tallywire.simulator.scenario.TesterFault;
import org.tallywire.simulator.scenario.TesterPlan;
import org.tallywire.simulator.scenario.UnitFault;
import org.tallywire.simulator.scenario.Winding;
import org.tallywire.simulator.tester.Measurement.Channel;

/** The order, the times and the labels of a run, and faults that come and go while it goes on. */
class TestRunTest {

  private static final Plate LARGE =
      new Plate(
          "T-3",
          2500,
          66_000,
          11_000,
          Group.of("YNyn0"),
          50,
          new Plate.Taps(Winding.HV, 1, 0, 1),
          7,
          Material.COPPER,
          Material.COPPER);

  private static final TesterPlan WEAK =
      new TesterPlan(TesterPlan.Language.LINE, 0.03, 0.1, 0.2, 40, 0.1, 0.1, 1, 0.02, 0, 1);

  private static List<String> labels(List<Measurement> run) {
    return run.stream()
        .map(m -> m.windings() + m.phase() + (m.tap().isPresent() ? m.tap().getAsInt() : ""))
        .toList();
  }

  private static TestRun run(Scenario scenario, Planted... planted) {
    return new TestRun(scenario, new Faults(List.of(planted)));
  }

  @Test
  void theOrderIsThatOfTheBench() {
    List<Measurement> run = Bench.run(1);
    List<String> order = labels(run);
    assertEquals(ALL, order.size());
    assertEquals(List.of("HV-LVA1", "HV-LVB1", "HV-LVC1", "HV-LVA2"), order.subList(0, 4));
    assertEquals(
        List.of("HV-LVC5", "HVA3", "HVB3", "HVC3", "LVA", "LVB", "LVC"), order.subList(14, ALL));
    run.forEach(
        m ->
            assertEquals(
                m.windings().equals("HV-LV") ? "turns-ratio" : "winding-resistance", m.test()));
  }

  @Test
  void aTappedLvWindingCarriesItsTapAndAUnitWithoutTapsHasOne() {
    Plate plate =
        new Plate(
            "T-2",
            160,
            6600,
            400,
            Group.of("Dyn5"),
            50,
            new Plate.Taps(Winding.LV, 3, 2.5, 2),
            4,
            Material.COPPER,
            Material.COPPER);
    List<String> order = labels(Bench.run(Bench.scenario(plate, Bench.TESTER, 1)));
    assertEquals(
        List.of("HV-LVC3", "HVA2", "HVB2", "HVC2", "LVA2", "LVB2", "LVC2"), order.subList(8, 15));
    Scenario single = Bench.scenario(Bench.plate("Ii0"), Bench.TESTER, 1);
    assertEquals(List.of("HV-LVA1", "HVA1", "LVA"), labels(Bench.run(single)));
  }

  @Test
  void aScenarioAlwaysGivesTheSameReadings() {
    UnitFault.WornContact worn =
        new UnitFault.WornContact(Phase.A, 0, new UnitFault.Addition(0.05, true), 0.8);
    Scenario scenario = Bench.scenario(7, worn, Bench.shortedTurns(7), new TesterFault.Noisy(3));
    assertEquals(Bench.run(scenario), Bench.run(scenario));
    assertNotEquals(Bench.run(7), Bench.run(8));
  }

  @Test
  void benchTimeIsWhatMeasuringAndDischargingTake() {
    TestRun run = run(Bench.scenario(2));
    for (int i = 1; i <= RATIOS; i++) {
      assertEquals(0.7, run.next().seconds());
      assertEquals(Duration.ofMillis(700L * i), run.elapsed());
    }
    Duration before = run.elapsed();
    Measurement first = run.next();
    assertEquals(before.plusMillis(Math.round(first.seconds() * 1000)), run.elapsed());
    Duration read = run.elapsed();
    Measurement second = run.next();
    Duration between = run.elapsed().minus(read);
    double discharge = between.toMillis() / 1e3 - second.seconds();
    assertTrue(discharge > 3 && discharge < 6, "discharge " + discharge);
  }

  @Test
  @DisplayName("L-20d: a reading that is not steady after a minute is not-settled")
  void aReadingThatIsNotSteadyAfterAMinuteSaysSo() {
    // 66 kV at 50 Hz: √2·38.1 kV/314 = 172 Vs up to the rated flux, at 1 V more than a minute.
    Measurement reading = Bench.run(Bench.scenario(LARGE, WEAK, 1)).get(3);
    assertEquals("HV", reading.windings());
    assertEquals("not-settled", reading.status().toString());
    assertEquals(60, reading.seconds());
  }

  @Test
  void theSurroundingsGetWarmerOrCoolerWhileItRuns() {
    // 1 K an hour at most. A source of 1 V takes a minute and half of one for each of six
    // resistances of a large unit: up to 0.15 K from the first to the last, shown by 0.1 K.
    double most = 0;
    for (long seed = 1; seed <= 10; seed++) {
      List<Measurement> run = Bench.run(Bench.scenario(LARGE, WEAK, seed));
      double first = value(run.get(3), Channel.TEMPERATURE);
      double change = Math.abs(value(run.get(8), Channel.TEMPERATURE) - first);
      assertTrue(change < 0.26, "seed " + seed + ": " + change);
      most = Math.max(most, change);
    }
    assertTrue(most > 0.09, "most " + most);
  }

  @Test
  void theTestVoltageIsNotQuiteWhatIsSet() {
    // 0.5 % of the source and 0.2 % of the meter, 0.13 % of noise.
    double most = 0;
    for (long seed = 1; seed <= 50; seed++) {
      double volts = value(run(Bench.scenario(seed)).next(), Channel.TEST_VOLTAGE);
      assertEquals(40, volts, 40 * 0.0083, "seed " + seed);
      most = Math.max(most, Math.abs(volts - 40));
    }
    assertTrue(most > 40 * 0.004, "most " + most);
  }

  @Test
  void whenAllIsMeasuredNothingIsLeft() {
    TestRun run = run(Bench.scenario(Bench.plate("Ii0"), Bench.TESTER, 1));
    assertFalse(run.over());
    Bench.run(run);
    assertTrue(run.over());
    assertThrows(IllegalStateException.class, run::next);
  }

  @Test
  void theTemperatureOfTheScenarioIsShownWithinTheThermometersError() {
    Scenario base = Bench.scenario(5);
    Scenario cold =
        new Scenario(
            "cold",
            "",
            5,
            Optional.empty(),
            base.plate(),
            Optional.of(4.0),
            base.tester(),
            List.of());
    double celsius = value(Bench.run(cold).get(FIRST_LV), Channel.TEMPERATURE);
    // 0.3 K of the thermometer, 1 K an hour for less than two minutes, half a digit.
    assertEquals(4, celsius, 0.3 + 0.034 + 0.05);
  }

  @Test
  void aFaultActsWhileItIsThere() {
    // Ratios begin at 0, 0.7, 1.4 … s: those from 2.1 s to 4.2 s, three, see it.
    TesterFault.OutOfCalibration fault =
        new TesterFault.OutOfCalibration(TesterFault.Quantity.RATIO, 2);
    Planted planted =
        new Planted(fault, Duration.ofMillis(1500), Optional.of(Duration.ofMillis(4200)));
    List<Measurement> sound = Bench.run(3);
    List<Measurement> faulty = Bench.run(run(Bench.scenario(3), planted));
    for (int i = 0; i < ALL; i++) {
      if (i >= 3 && i < 6) {
        double change = value(faulty.get(i), Channel.RATIO) / value(sound.get(i), Channel.RATIO);
        assertEquals(1.02, change, 1e-5);
      } else {
        assertEquals(sound.get(i), faulty.get(i));
      }
    }
  }

  @Test
  void aFaultPlantedWhileItRunsActsFromThenOn() {
    Faults faults = new Faults(List.of());
    TestRun run = new TestRun(Bench.scenario(3), faults);
    List<Measurement> seen = new ArrayList<>();
    for (int i = 0; i < 7; i++) {
      seen.add(run.next());
    }
    UnitFault reversed = new UnitFault.ReversedWinding(Winding.LV, Phase.B);
    faults.plant(new Planted(reversed, run.elapsed(), Optional.empty()));
    seen.add(run.next());
    seen.add(run.next());
    assertEquals(1, faults.clear("reversed winding"));
    seen.addAll(Bench.run(run));
    List<Measurement> sound = Bench.run(3);
    for (int i = 0; i < ALL; i++) {
      if (i == 7) {
        double degrees = value(seen.get(i), Channel.PHASE_DISPLACEMENT);
        assertEquals(180, Math.abs(degrees), 0.1, seen.get(i).toString());
      } else {
        assertEquals(sound.get(i), seen.get(i));
      }
    }
  }
}
