package org.tallywire.simulator.tester;

import java.time.Duration;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.Random;
import org.tallywire.simulator.physics.Material;
import org.tallywire.simulator.scenario.Fault;
import org.tallywire.simulator.scenario.Faults;
import org.tallywire.simulator.scenario.Group;
import org.tallywire.simulator.scenario.Phase;
import org.tallywire.simulator.scenario.Planted;
import org.tallywire.simulator.scenario.Plate;
import org.tallywire.simulator.scenario.Scenario;
import org.tallywire.simulator.scenario.TesterPlan;
import org.tallywire.simulator.scenario.UnitFault;
import org.tallywire.simulator.scenario.Winding;
import org.tallywire.simulator.tester.Measurement.Channel;

/** Scenarios and runs for the tests of this package. */
final class Bench {

  /** 250 kVA, Dyn11, 11 000 V (five taps of 2.5 %) / 433 V, the invented unit of the project. */
  static final Plate HOLLOW_LANE =
      new Plate(
          "HL-0231",
          250,
          11_000,
          433,
          Group.of("Dyn11"),
          50,
          new Plate.Taps(Winding.HV, 5, 2.5, 3),
          4.5,
          Material.COPPER,
          Material.ALUMINIUM);

  static final TesterPlan TESTER =
      new TesterPlan(TesterPlan.Language.LINE, 0.03, 0.1, 0.2, 40, 1, 10, 50, 0.02, 0, 1);

  static final int RATIOS = 15;
  static final int FIRST_LV = 18;
  static final int ALL = 21;

  private Bench() {}

  static Scenario scenario(Plate plate, TesterPlan tester, long seed, Fault... faults) {
    List<Planted> planted =
        Arrays.stream(faults).map(f -> new Planted(f, Duration.ZERO, Optional.empty())).toList();
    return new Scenario(
        "test", "", seed, Optional.empty(), plate, Optional.empty(), tester, planted);
  }

  static Scenario scenario(long seed, Fault... faults) {
    return scenario(HOLLOW_LANE, TESTER, seed, faults);
  }

  /** A unit without taps: 100 kVA, 6600 V / 400 V. */
  static Plate plate(String group) {
    return new Plate(
        "T-1",
        100,
        6600,
        400,
        Group.of(group),
        50,
        new Plate.Taps(Winding.HV, 1, 0, 1),
        4,
        Material.COPPER,
        Material.COPPER);
  }

  static TesterPlan warmingUp(double minutes) {
    return new TesterPlan(
        TesterPlan.Language.LINE, 0.03, 0.1, 0.2, 40, 1, 10, 50, 0.02, minutes, 1);
  }

  static List<Measurement> run(Scenario scenario) {
    return run(new TestRun(scenario, new Faults(scenario.planted())));
  }

  static List<Measurement> run(TestRun run) {
    List<Measurement> measurements = new ArrayList<>();
    while (!run.over()) {
      measurements.add(run.next());
    }
    return measurements;
  }

  static List<Measurement> run(long seed, Fault... faults) {
    return run(scenario(seed, faults));
  }

  /** A bad LV joint of 6 to 15 % by the seed, as the command of the simulator draws it. */
  static UnitFault.BadJoint badJoint(long seed) {
    Random random = scenario(seed).random("fault");
    Phase phase = List.of(Phase.values()).get(random.nextInt(3));
    double share = 0.06 + 0.09 * random.nextDouble();
    return new UnitFault.BadJoint(Winding.LV, phase, new UnitFault.Addition(share, true));
  }

  /** 20 to 28 shorted HV turns by the seed, as the command of the simulator draws them. */
  static UnitFault.ShortedTurns shortedTurns(long seed) {
    Random random = scenario(seed).random("fault");
    Phase phase = List.of(Phase.values()).get(random.nextInt(3));
    return new UnitFault.ShortedTurns(Winding.HV, phase, 20 + random.nextInt(9));
  }

  static double value(Measurement measurement, Channel channel) {
    String text = measurement.values().get(channel);
    if (text == null) {
      throw new AssertionError("no " + channel + " in " + measurement);
    }
    return Double.parseDouble(text);
  }

  /** Returns a resistance in ohms, whichever channel it is on. */
  static double ohms(Measurement measurement) {
    return measurement.values().containsKey(Channel.OHMS)
        ? value(measurement, Channel.OHMS)
        : value(measurement, Channel.MILLIOHMS) / 1e3;
  }

  static double[] values(List<Measurement> run, int from, Channel channel) {
    return run.subList(from, from + 3).stream().mapToDouble(m -> value(m, channel)).toArray();
  }

  /** (max − min)/mean. */
  static double unbalance(double[] values) {
    double most = Arrays.stream(values).max().orElseThrow();
    double least = Arrays.stream(values).min().orElseThrow();
    return (most - least) / Arrays.stream(values).average().orElseThrow();
  }
}
