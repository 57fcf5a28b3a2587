package org.tallywire.simulator.unit;

import java.util.List;
import java.util.Optional;
import org.tallywire.simulator.physics.Material;
import org.tallywire.simulator.scenario.Group;
import org.tallywire.simulator.scenario.Plate;
import org.tallywire.simulator.scenario.Scenario;
import org.tallywire.simulator.scenario.TesterPlan;
import org.tallywire.simulator.scenario.Winding;

/** Plates and scenarios for tests, all invented. */
final class Benches {

  /** ±2 × 2.5 % on the HV winding. */
  static final Plate.Taps TAPS = new Plate.Taps(Winding.HV, 5, 2.5, 3);

  static final Plate HL_0231 =
      new Plate(
          "HL-0231",
          250,
          11_000,
          433,
          Group.of("Dyn11"),
          50,
          TAPS,
          4.5,
          Material.COPPER,
          Material.ALUMINIUM);

  private Benches() {}

  static Plate plate(double kva, String group, double hvVolts, double lvVolts, double percent) {
    return new Plate(
        "T-1",
        kva,
        hvVolts,
        lvVolts,
        Group.of(group),
        50,
        TAPS,
        percent,
        Material.COPPER,
        Material.COPPER);
  }

  static Scenario scenario(Plate plate, long seed) {
    return new Scenario(
        "test",
        "",
        seed,
        Optional.empty(),
        plate,
        Optional.empty(),
        new TesterPlan(TesterPlan.Language.LINE, 0.03, 0.1, 0.2, 40, 1, 10, 50, 0.02, 0, 1),
        List.of());
  }
}
