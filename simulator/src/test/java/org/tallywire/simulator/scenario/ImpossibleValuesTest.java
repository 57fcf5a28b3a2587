package org.tallywire.simulator.scenario;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.time.Duration;
import java.util.Optional;
import java.util.stream.Stream;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.DynamicTest;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.TestFactory;
import org.junit.jupiter.api.function.Executable;
import org.tallywire.simulator.physics.Material;
import org.tallywire.simulator.scenario.Plate.Taps;
import org.tallywire.simulator.scenario.TesterPlan.Language;

/** What nothing can have is refused by the records themselves, wherever it comes from. */
final class ImpossibleValuesTest {

  private static final Duration SECOND = Duration.ofSeconds(1);

  @TestFactory
  Stream<DynamicTest> refused() {
    return Stream.of(
        refused("no turns", () -> new UnitFault.ShortedTurns(Winding.HV, Phase.A, 0)),
        refused("negative resistance", () -> new UnitFault.Addition(-0.1, true)),
        refused("position -1", () -> contact(-1, 0.5)),
        refused("unsteady by more than all", () -> contact(1, 1.5)),
        refused("no flux density", () -> new UnitFault.ResidualMagnetism(Phase.A, Double.NaN)),
        refused("endless heat", () -> new UnitFault.HotWinding(Double.POSITIVE_INFINITY)),
        refused("swapped with itself", () -> swapped(Phase.B, Phase.B)),
        refused("share above 1", () -> new LineFault.LineNoise(1.1)),
        refused("negative probability", () -> new LineFault.BitErrors(-0.1)),
        refused("probability that is no number", () -> new LineFault.LostBytes(Double.NaN)),
        refused("share below 0", () -> new LineFault.Duplicates(-0.1)),
        refused("off for less than nothing", () -> new LineFault.Reboot(SECOND.negated())),
        refused("a store for nothing", () -> new LineFault.StoreOverflow(0)),
        refused("no drift", () -> new TesterFault.Drift(TesterFault.Quantity.RATIO, Double.NaN)),
        refused("less than no noise", () -> new TesterFault.Noisy(-1)),
        refused("before the start", () -> planted(SECOND.negated(), SECOND)),
        refused("over before it begins", () -> planted(SECOND, SECOND)),
        refused("principal position 0", () -> new Taps(Winding.HV, 5, 2.5, 0)),
        refused("principal position 6 of 5", () -> new Taps(Winding.HV, 5, 2.5, 6)),
        refused("no power", () -> plate(0)),
        refused("a test voltage of 0", () -> tester(0)));
  }

  private static DynamicTest refused(String what, Executable making) {
    return DynamicTest.dynamicTest(
        what, () -> assertThrows(IllegalArgumentException.class, making));
  }

  private static Object contact(int position, double unsteady) {
    return new UnitFault.WornContact(
        Phase.A, position, new UnitFault.Addition(0.1, true), unsteady);
  }

  private static Object swapped(Phase one, Phase other) {
    return new LeadFault.SwappedLeads(Winding.HV, one, other);
  }

  private static Planted planted(Duration from, Duration until) {
    return new Planted(new LineFault.Freeze(), from, Optional.of(until));
  }

  private static Plate plate(double power) {
    return new Plate(
        "S",
        power,
        11_000,
        433,
        Group.of("Dyn11"),
        50,
        Taps.NONE,
        4.5,
        Material.COPPER,
        Material.COPPER);
  }

  private static TesterPlan tester(double volts) {
    return new TesterPlan(Language.LINE, 0.03, 0.1, 0.2, volts, 1, 10, 50, 0.02, 0, 1);
  }

  @Test
  @DisplayName("a fault is there from its begin, and not any more at its end")
  void times() {
    Planted planted = planted(SECOND, SECOND.multipliedBy(3));

    assertFalse(planted.at(Duration.ofMillis(999)));
    assertTrue(planted.at(SECOND));
    assertTrue(planted.at(Duration.ofMillis(2999)));
    assertFalse(planted.at(SECOND.multipliedBy(3)));
  }

  @Test
  @DisplayName("11 kV at 250 kVA: a phase in delta has roughly 1400 turns; LV in star roughly 30")
  void roughTurns() {
    // By hand: sqrt(250) = 15.81, half of it 7.906 V per turn; 11000/7.906 = 1391; 250/7.906 = 31.6
    assertEquals(1391, plate(250).roughTurns(Winding.HV), 1);
    assertEquals(31.6, plate(250).roughTurns(Winding.LV), 0.1);
  }

  @Test
  @DisplayName("taps: position 1 has the most turns; 2.5 % a step of five")
  void taps() {
    Taps taps = new Taps(Winding.HV, 5, 2.5, 3);

    assertEquals(1.05, taps.share(1), 1e-12);
    assertEquals(1, taps.share(3), 1e-12);
    assertEquals(0.95, taps.share(5), 1e-12);
    assertEquals(1, Taps.NONE.share(1), 1e-12);
  }
}
