package org.tallywire.simulator.unit;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.Random;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.tallywire.simulator.physics.DirectCurrent;
import org.tallywire.simulator.physics.Material;
import org.tallywire.simulator.physics.Network;
import org.tallywire.simulator.scenario.Phase;
import org.tallywire.simulator.scenario.Plate;
import org.tallywire.simulator.scenario.UnitFault;
import org.tallywire.simulator.scenario.UnitFault.Addition;
import org.tallywire.simulator.scenario.Winding;

/** Units of all groups and sizes with several faults at once. */
class AnyFaultTest {

  private static final List<String> GROUPS =
      List.of(
          "Dyn11", "Dyn1", "YNd1", "YNd5", "Yy0", "YNyn4", "Dd6", "Dd10", "Yzn5", "Yz11", "Dzn2",
          "Zyn7", "ZNd0", "ZNzn6", "Yd3", "Dy9", "Ii0", "Ii6");

  private static <T> T any(Random random, List<T> choice) {
    return choice.get(random.nextInt(choice.size()));
  }

  private static UnitFault anyFault(Random random) {
    Winding winding = any(random, List.of(Winding.HV, Winding.LV));
    Phase phase = any(random, List.of(Phase.A, Phase.B, Phase.C));
    Addition adds = new Addition(random.nextDouble(), random.nextBoolean());
    return switch (random.nextInt(10)) {
      case 0 -> new UnitFault.ShortedTurns(winding, phase, 1 + random.nextInt(60));
      case 1 -> new UnitFault.OpenWinding(winding, phase);
      case 2 -> new UnitFault.BadJoint(winding, phase, adds);
      case 3 -> new UnitFault.WornContact(phase, random.nextInt(6), adds, random.nextDouble());
      case 4 -> new UnitFault.WrongTap(Optional.of(phase), random.nextInt(9) - 4);
      case 5 -> new UnitFault.ReversedWinding(winding, phase);
      case 6 -> new UnitFault.ResidualMagnetism(Phase.A, 3 * random.nextDouble() - 1.5);
      case 7 -> new UnitFault.HotWinding(40 * random.nextDouble());
      case 8 -> new UnitFault.WrongConductor(winding, Material.ALUMINIUM);
      default ->
          new UnitFault.WrongPlate(
              OptionalDouble.empty(), OptionalDouble.of(415), Optional.empty());
    };
  }

  private static List<Double> ratioTest(Unit unit, Plate plate, int tap, List<UnitFault> faults) {
    List<Double> figures = new ArrayList<>();
    for (Hookup hookup : Hookup.ratio(plate.group())) {
      Network network = unit.network(tap, 20, faults, new Random(tap));
      String to = hookup.to().get(0);
      if (hookup.to().size() > 1) {
        network.resistor(to, hookup.to().get(1), 0);
      }
      Network.Alternating found = network.alternating(hookup.from(), to, 40, 2, plate.hertz());
      figures.add(found.amps().abs());
      found
          .volts(hookup.measuredFrom(), hookup.measuredTo())
          .ifPresent(volts -> figures.add(volts.abs()));
    }
    return figures;
  }

  /** A unit and what is wrong with it, all by chance. */
  private record Case(Plate plate, List<UnitFault> faults, int tap) {
    static Case of(Random random) {
      double kva = 5 * StrictMath.pow(500, random.nextDouble());
      double lvVolts = 240 * StrictMath.pow(40, random.nextDouble());
      double hvVolts = Math.min(66_000, lvVolts * (1 + 30 * random.nextDouble()));
      Plate plate = Benches.plate(kva, any(random, GROUPS), hvVolts, lvVolts, 5);
      List<UnitFault> faults = new ArrayList<>();
      for (int count = random.nextInt(5); count > 0; count--) {
        faults.add(anyFault(random));
      }
      return new Case(plate, faults, 1 + random.nextInt(5));
    }

    Unit unit() {
      return new Unit(Benches.scenario(plate, 1));
    }
  }

  @Test
  @DisplayName("whatever is wrong, an alternating source finds one solution, and a twin the same")
  void alternating() {
    long seed = 20260302;
    Random random = new Random(seed);
    for (int i = 0; i < 400; i++) {
      Case one = Case.of(random);
      String what = "seed " + seed + ", case " + i + ": " + one;
      List<Double> figures = ratioTest(one.unit(), one.plate, one.tap, one.faults);
      for (double figure : figures) {
        assertTrue(figure >= 0 && figure < 1e5, what + " " + figures);
      }
      assertEquals(figures, ratioTest(one.unit(), one.plate, one.tap, one.faults), what);
    }
  }

  @Test
  @DisplayName("whatever is wrong, direct current settles at a resistance or finds no way")
  void directCurrent() {
    long seed = 20260303;
    Random random = new Random(seed);
    for (int i = 0; i < 25; i++) {
      Case one = Case.of(random);
      String what = "seed " + seed + ", case " + i + ": " + one;
      Unit unit = one.unit();
      for (Winding winding : Winding.values()) {
        for (Hookup.Pair pair : Hookup.resistance(one.plate.group(), winding)) {
          Network network = unit.network(one.tap, 20, one.faults, new Random(i));
          network.resistor("lead", pair.from(), 0.02);
          DirectCurrent current = network.directCurrent("lead", pair.to());
          if (current.closed()) {
            current.holdVolts(20, 60, 1);
            current.holdAmps(600);
            double ohms = current.volts(pair.from(), pair.to()).orElseThrow() / current.amps();
            assertTrue(ohms > 0 && ohms < 1e5, what + " " + winding + " " + ohms);
            current.leave();
          }
        }
      }
    }
  }
}
