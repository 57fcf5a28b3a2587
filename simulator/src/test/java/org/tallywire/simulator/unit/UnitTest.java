package org.tallywire.simulator.unit;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertSame;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.List;
import java.util.Optional;
import java.util.OptionalDouble;
import java.util.Random;
import org.apache.commons.math3.complex.Complex;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.tallywire.simulator.physics.Material;
import org.tallywire.simulator.physics.Network;
import org.tallywire.simulator.scenario.Group;
import org.tallywire.simulator.scenario.Phase;
import org.tallywire.simulator.scenario.Plate;
import org.tallywire.simulator.scenario.UnitFault;
import org.tallywire.simulator.scenario.UnitFault.Addition;
import org.tallywire.simulator.scenario.Winding;

/** What each fault must do to a ratio or a resistance, worked out by hand. */
class UnitTest {

  private static final double CELSIUS = 20;
  private static final Plate STAR = Benches.plate(250, "YNyn0", 11_000, 433, 4.5);
  private static final Plate DELTA = Benches.HL_0231;

  private final Random contact = new Random(1);

  private static Unit unit(Plate plate) {
    return new Unit(Benches.scenario(plate, 7));
  }

  /** What an ideal ratio test of one phase at 40 V finds. */
  private record Found(Complex amps, Complex hv, Optional<Complex> lv) {
    double ratio() {
      return hv.abs() / lv.orElseThrow().abs();
    }

    double degrees() {
      return Math.toDegrees(lv.orElseThrow().divide(hv).getArgument());
    }
  }

  private Found ratio(Unit unit, Plate plate, Phase phase, int tap, UnitFault... faults) {
    Hookup hookup = Hookup.ratio(plate.group()).get(phase.limb());
    Network network = unit.network(tap, CELSIUS, List.of(faults), contact);
    String to = hookup.to().get(0);
    Network.Alternating found = network.alternating(hookup.from(), to, 40, 2, plate.hertz());
    Complex hv = found.volts(hookup.from(), to).orElseThrow();
    return new Found(found.amps(), hv, found.volts(hookup.measuredFrom(), hookup.measuredTo()));
  }

  private Found ratio(Plate plate, Phase phase, int tap, UnitFault... faults) {
    return ratio(unit(plate), plate, phase, tap, faults);
  }

  private double ohms(Plate plate, Winding winding, Phase phase, double celsius, UnitFault... f) {
    Network network = unit(plate).network(3, celsius, List.of(f), contact);
    return SettledResistance.ohms(
        network, Hookup.resistance(plate.group(), winding).get(phase.limb()));
  }

  private double ohms(Plate plate, Winding winding, Phase phase, UnitFault... faults) {
    return ohms(plate, winding, phase, CELSIUS, faults);
  }

  @Test
  @DisplayName("a sound unit has the ratio of its turns on every tap, and little displacement")
  void sound() {
    for (Phase phase : Phase.values()) {
      for (int tap = 1; tap <= 5; tap++) {
        Found found = ratio(DELTA, phase, tap);
        double turns = unit(DELTA).turns(Winding.HV, tap) / 30.0;
        // The drop of the magnetising current is of the order of 0.01 to 0.1 % (practice).
        assertEquals(turns, found.ratio(), turns * 1e-3);
        assertEquals(0, found.degrees(), 0.5);
      }
    }
    Found centre = ratio(DELTA, Phase.B, 3);
    Found outer = ratio(DELTA, Phase.A, 3);
    // Two phases take more current than the centre one (USBR FIST 3-30, clause 9.3.3).
    assertTrue(centre.amps.abs() < 0.95 * outer.amps.abs());
  }

  @Test
  @DisplayName("shorted HV turns draw current on every phase and lower their phase's ratio")
  void shortedTurns() {
    UnitFault fault = new UnitFault.ShortedTurns(Winding.HV, Phase.A, 20);
    Found sound = ratio(DELTA, Phase.A, 3);
    Found shorted = ratio(DELTA, Phase.A, 3, fault);
    assertTrue(shorted.amps.abs() > 10 * sound.amps.abs());
    // At most all 20 turns are missing from 1320.
    assertTrue(shorted.ratio() < sound.ratio() * 0.9999);
    assertTrue(shorted.ratio() > sound.ratio() * 1300 / 1320 * 0.998);
    // 1300 turns of 1320 are left in the phase: r1·(r2 + r3)/(r1 + r2 + r3) with r1 = 65/66·r.
    double r1 = 65.0 / 66;
    double expected = r1 * 2 / (r1 + 2) / (2.0 / 3);
    double share = ohms(DELTA, Winding.HV, Phase.A, fault) / ohms(DELTA, Winding.HV, Phase.A);
    assertEquals(expected, share, 3e-5);
  }

  @Test
  @DisplayName("one LV turn shorted is 1/30 of the phase; all of them leave no voltage")
  void shortedLowVoltageTurns() {
    UnitFault one = new UnitFault.ShortedTurns(Winding.LV, Phase.B, 1);
    assertTrue(ratio(DELTA, Phase.B, 3, one).amps.abs() > 10 * ratio(DELTA, Phase.B, 3).amps.abs());
    double share = ohms(DELTA, Winding.LV, Phase.B, one) / ohms(DELTA, Winding.LV, Phase.B);
    assertEquals(29.0 / 30, share, 1e-6);
    UnitFault all = new UnitFault.ShortedTurns(Winding.LV, Phase.B, 1000);
    assertEquals(0, ratio(DELTA, Phase.B, 3, all).lv.orElseThrow().abs(), 1e-9);
  }

  @Test
  @DisplayName("in zigzag, turns beyond half of the phase are shorted in its other half")
  void shortedTurnsOfAZigzag() {
    Plate zigzag = Benches.plate(100, "Dzn0", 11_000, 400, 4);
    int turns = unit(zigzag).turns(Winding.LV, 3);
    UnitFault fault = new UnitFault.ShortedTurns(Winding.LV, Phase.C, turns / 2 + 5);
    double share = ohms(zigzag, Winding.LV, Phase.C, fault) / ohms(zigzag, Winding.LV, Phase.C);
    // What is left of the second half; the first is a wire of 1 µΩ.
    double left = (turns / 2.0 - 5) / turns;
    assertEquals(left, share, 1e-3);
  }

  @Test
  @DisplayName("an open star phase takes no current; an open LV phase has no voltage")
  void openWinding() {
    Found hv = ratio(STAR, Phase.A, 3, new UnitFault.OpenWinding(Winding.HV, Phase.A));
    assertEquals(0, hv.amps.abs());
    Found lv = ratio(STAR, Phase.B, 3, new UnitFault.OpenWinding(Winding.LV, Phase.B));
    assertTrue(lv.lv.isEmpty());
    assertEquals(ratio(STAR, Phase.B, 3).amps, lv.amps);
  }

  @Test
  @DisplayName("an open delta leaves two phases in series: three times the resistance")
  void openDelta() {
    double sound = ohms(DELTA, Winding.HV, Phase.C);
    double open = ohms(DELTA, Winding.HV, Phase.C, new UnitFault.OpenWinding(Winding.HV, Phase.C));
    // 2·r by 2/3·r; phases differ by 0.3 %.
    assertEquals(3, open / sound, 3 * 0.006);
  }

  @Test
  @DisplayName("a bad joint of 8 % adds 8 % between line and neutral, one of 0.2 mΩ as much")
  void badJoint() {
    double sound = ohms(DELTA, Winding.LV, Phase.C);
    UnitFault part = new UnitFault.BadJoint(Winding.LV, Phase.C, new Addition(0.08, true));
    UnitFault fixed = new UnitFault.BadJoint(Winding.LV, Phase.C, new Addition(2e-4, false));
    assertEquals(1.08, ohms(DELTA, Winding.LV, Phase.C, part) / sound, 1e-6);
    assertEquals(2e-4, ohms(DELTA, Winding.LV, Phase.C, fixed) - sound, 1e-9);
    assertEquals(sound, ohms(DELTA, Winding.LV, Phase.A, part), 0.006 * sound);
  }

  @Test
  @DisplayName("a worn contact adds on its position only, each time another figure")
  void wornContact() {
    UnitFault elsewhere = new UnitFault.WornContact(Phase.A, 2, new Addition(0.5, false), 0.4);
    UnitFault here = new UnitFault.WornContact(Phase.A, 3, new Addition(0.5, false), 0.4);
    UnitFault everywhere = new UnitFault.WornContact(Phase.A, 0, new Addition(0.5, false), 0);
    Plate star = STAR;
    double sound = ohms(star, Winding.HV, Phase.A);
    assertEquals(sound, ohms(star, Winding.HV, Phase.A, elsewhere), 1e-6 * sound);
    assertEquals(0.5, ohms(star, Winding.HV, Phase.A, everywhere) - sound, 1e-5);
    double first = ohms(star, Winding.HV, Phase.A, here) - sound;
    double second = ohms(star, Winding.HV, Phase.A, here) - sound;
    assertNotEquals(first, second, 1e-3);
    // 0.5 Ω ± 40 %.
    assertEquals(0.5, first, 0.2 + 1e-5);
    assertEquals(0.5, second, 0.2 + 1e-5);
    assertEquals(
        sound, ohms(star, Winding.HV, Phase.B, everywhere), 0.006 * sound, "phase B is sound");
  }

  @Test
  @DisplayName("a wrong tap gives the ratio of that tap, at the end that of the last one")
  void wrongTap() {
    UnitFault one = new UnitFault.WrongTap(Optional.of(Phase.B), 1);
    assertEquals(ratio(DELTA, Phase.B, 4).ratio(), ratio(DELTA, Phase.B, 3, one).ratio(), 0.02);
    assertEquals(ratio(DELTA, Phase.A, 3).ratio(), ratio(DELTA, Phase.A, 3, one).ratio(), 0.02);
    assertEquals(ratio(DELTA, Phase.B, 5), ratio(DELTA, Phase.B, 5, one));
    UnitFault all = new UnitFault.WrongTap(Optional.empty(), -2);
    for (Phase phase : Phase.values()) {
      assertEquals(ratio(DELTA, phase, 1), ratio(DELTA, phase, 3, all));
      assertEquals(ratio(DELTA, phase, 1), ratio(DELTA, phase, 2, all));
    }
  }

  @Test
  @DisplayName("a reversed star phase turns the displacement by 180°")
  void reversedWinding() {
    Found sound = ratio(STAR, Phase.C, 3);
    for (Winding winding : Winding.values()) {
      Found turned = ratio(STAR, Phase.C, 3, new UnitFault.ReversedWinding(winding, Phase.C));
      assertEquals(sound.ratio(), turned.ratio(), 1e-9);
      assertEquals(180, Math.abs(turned.degrees() - sound.degrees()), 1e-9);
    }
  }

  @Test
  @DisplayName("a delta with a reversed phase works into the leakage of its own windings")
  void reversedInDelta() {
    // The three voltages must add up to zero in the delta with one reversed, and without in the
    // core: limb A can have none. What is left is the air's and the leakage reactance.
    UnitFault fault = new UnitFault.ReversedWinding(Winding.HV, Phase.A);
    double sound = ratio(DELTA, Phase.A, 3).amps.abs();
    assertTrue(ratio(DELTA, Phase.A, 3, fault).amps.abs() > 20 * sound);
  }

  @Test
  @DisplayName("residual magnetism is there from when the fault appears, and acts once")
  void residualMagnetism() {
    UnitFault fault = new UnitFault.ResidualMagnetism(Phase.A, 0.8);
    Unit unit = unit(DELTA);
    double before = ratio(unit, DELTA, Phase.A, 3).amps.abs();
    double after = ratio(unit, DELTA, Phase.A, 3, fault).amps.abs();
    assertEquals(0.8, unit.core().residualTesla(0), 1e-9);
    assertEquals(0, unit.core().residualTesla(1), 1e-9);
    // Residual flux falsifies the excitation current upwards (USBR FIST 3-30, clause 9.3.3).
    assertTrue(after > 1.02 * before, before + " A, " + after + " A");
    unit.core().demagnetise();
    assertEquals(before, ratio(unit, DELTA, Phase.A, 3, fault).amps.abs(), 1e-12);
    ratio(unit, DELTA, Phase.A, 3);
    assertEquals(after, ratio(unit, DELTA, Phase.A, 3, fault).amps.abs(), 1e-12);
  }

  @Test
  @DisplayName("steel keeps no more than it can")
  void residualMagnetismBeyondTheSteel() {
    Unit unit = unit(DELTA);
    ratio(unit, DELTA, Phase.A, 3, new UnitFault.ResidualMagnetism(Phase.C, -1.9));
    assertEquals(-1.09, unit.core().residualTesla(2), 0.02);
  }

  @Test
  @DisplayName("windings 10 K warmer have the resistance of that temperature")
  void hotWinding() {
    UnitFault hot = new UnitFault.HotWinding(10);
    // Copper (234.5 + 30)/(234.5 + 20), aluminium (225 + 30)/(225 + 20).
    assertEquals(
        264.5 / 254.5,
        ohms(DELTA, Winding.HV, Phase.A, hot) / ohms(DELTA, Winding.HV, Phase.A),
        1e-5);
    assertEquals(
        255.0 / 245,
        ohms(DELTA, Winding.LV, Phase.A, hot) / ohms(DELTA, Winding.LV, Phase.A),
        1e-6);
  }

  @Test
  @DisplayName("another metal has the same resistance at 75 °C and another constant")
  void wrongConductor() {
    UnitFault copper = new UnitFault.WrongConductor(Winding.LV, Material.COPPER);
    double at75 = ohms(DELTA, Winding.LV, Phase.B, 75);
    assertEquals(at75, ohms(DELTA, Winding.LV, Phase.B, 75, copper), 1e-6 * at75);
    // From 20 to 75 °C copper grows by 1.216110, aluminium by 1.224490 (trade's constants).
    double share = ohms(DELTA, Winding.LV, Phase.B, copper) / ohms(DELTA, Winding.LV, Phase.B);
    assertEquals(1.224490 / 1.216110, share, 2e-6);
  }

  @Test
  @DisplayName("a unit for 415 V has √3·K = 45.909780; one of Dyn5 is turned by 180°")
  void wrongPlate() {
    UnitFault volts =
        new UnitFault.WrongPlate(OptionalDouble.empty(), OptionalDouble.of(415), Optional.empty());
    // 29 and 1331 turns instead of 1331.4, and the drop of the magnetising current.
    assertEquals(45.909780, ratio(DELTA, Phase.A, 3, volts).ratio(), 45.9 * 1.5e-3);
    UnitFault group =
        new UnitFault.WrongPlate(
            OptionalDouble.empty(), OptionalDouble.empty(), Optional.of(Group.of("Dyn5")));
    assertEquals(180, Math.abs(ratio(DELTA, Phase.A, 3, group).degrees()), 0.5);
  }

  @Test
  @DisplayName("each of two units keeps its own core")
  void coresOfWrongPlates() {
    UnitFault volts =
        new UnitFault.WrongPlate(OptionalDouble.empty(), OptionalDouble.of(415), Optional.empty());
    Unit unit = unit(DELTA);
    Object own = unit.core();
    ratio(unit, DELTA, Phase.A, 3, volts);
    assertNotEquals(own, unit.core());
    ratio(unit, DELTA, Phase.A, 3);
    assertSame(own, unit.core());
  }

  @Test
  @DisplayName("a delta of 0.300, 0.306 and 0.303 Ω: 0.200990099, 0.202990099 and 0.202 Ω")
  void lineResistancesOfADelta() {
    // Kirchhoff: r1·(r2 + r3)/(r1 + r2 + r3), worked out by hand.
    Plate plate = Benches.plate(2500, "Dyn11", 6_600, 433, 6);
    Design design = new Design(plate, Benches.scenario(plate, 7).random("manufacture"));
    double[] phases = {0.300, 0.306, 0.303};
    UnitFault[] joints = new UnitFault[3];
    for (Phase phase : Phase.values()) {
      double missing = phases[phase.limb()] - design.ohmsAt75(Winding.HV, phase);
      joints[phase.limb()] =
          new UnitFault.BadJoint(Winding.HV, phase, new Addition(missing, false));
    }
    double[] lines = {0.200990099010, 0.202990099010, 0.202};
    for (Phase phase : Phase.values()) {
      double ohms = ohms(plate, Winding.HV, phase, 75, joints);
      assertEquals(lines[phase.limb()], ohms, 2e-6 * ohms, phase.toString());
    }
  }
}
