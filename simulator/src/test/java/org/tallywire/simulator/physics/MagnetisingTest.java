package org.tallywire.simulator.physics;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.Test;

/** Direct current in coils on a core of steel, and what it leaves behind. */
class MagnetisingTest {

  private static double volts(DirectCurrent run, String from, String to) {
    return run.volts(from, to).orElseThrow();
  }

  /** Takes the current of a resistance test up, holds it, takes it down and leaves. */
  private static DirectCurrent test(SmallUnit unit, String from, String to, double amps) {
    DirectCurrent run = unit.network().directCurrent(from, to);
    run.holdVolts(50, 20, amps);
    run.holdAmps(20);
    run.holdVolts(-50, 25, 0);
    run.holdAmps(25);
    run.leave();
    return run;
  }

  @Test
  void fluxIsTheVoltSecondsAndCurrentIsWhatItsForceTakes() {
    // Faraday: without resistance N·A·B = U·t, through saturation. Ampère: N·i = H·l, on the curve
    // of steel that was not magnetised: B = Js·L(x) + μ0·H, H = a·x + Hc·(1 − e^(−σ·Js·x/3)).
    Steel steel = Steel.GRAIN_ORIENTED;
    Network network = new Network(Core.oneLimb(new SteelPath(steel, 0.01, 1.5, 0), 0));
    network.coil("a", "b", new Coil(0, 100, 0, 0, 0));
    DirectCurrent run = network.directCurrent("a", "b");
    for (double place : new double[] {0.01, 0.2, 2, 8, 30, 200}) {
      double pinned = 1 - Math.exp(-56 * 2.03 / 3 * place);
      double field = 5 * place + 10 * pinned;
      double tesla = 2.03 * (1 / Math.tanh(place) - 1 / place) + 4e-7 * Math.PI * field;
      run.holdVolts(1, tesla, Double.NaN);
      assertEquals(field * 1.5 / 100, run.amps(), field * 1.5e-2 * 1e-5);
    }
  }

  @Test
  void theVoltSecondsOfAWholeTestAreTheFluxThatStays() {
    // Faraday: ∫u dt at an open winding of N turns is N·A·(B left − B before), by Simpson's rule.
    SmallUnit unit = new SmallUnit();
    DirectCurrent run = unit.network().directCurrent("U", "V");
    double[] sums = new double[3];
    String[] lv = {"u", "v", "w"};
    double interval = 0.002;
    boolean down = false;
    for (int step = 0; step < 2000; step++) {
      for (int part = 0; part < 3; part++) {
        double until = (step + part / 2.0) * interval;
        if (step < 1000) {
          run.holdVolts(50, until, Double.NaN);
        } else if (!down) {
          run.holdVolts(-50, until, 0);
          down = run.seconds() < until;
        }
        if (down) {
          run.holdAmps(until);
        }
        for (int limb = 0; limb < 3; limb++) {
          sums[limb] += (part == 1 ? 4 : 1) * volts(run, lv[limb], "n") * interval / 6;
        }
      }
    }
    run.leave();
    for (int limb = 0; limb < 3; limb++) {
      double tesla = sums[limb] / (SmallUnit.LV_TURNS * 0.0235);
      // The steel's knee and the turning points are sharper than the interval.
      assertEquals(unit.core.residualTesla(limb), tesla, 0.02);
    }
    assertTrue(Math.abs(unit.core.residualTesla(0)) > 0.3);
  }

  @Test
  void readingsSettleToTheResistance() {
    // Two thirds of a winding between the corners of a delta; one phase of a star (Kirchhoff).
    SmallUnit unit = new SmallUnit();
    DirectCurrent hv = unit.network().directCurrent("U", "V");
    hv.holdVolts(50, 30, 1);
    hv.holdAmps(30);
    assertEquals(SmallUnit.HV_OHMS * 2 / 3, volts(hv, "U", "V") / hv.amps(), 1e-8);
    DirectCurrent lv = unit.network().directCurrent("u", "n");
    lv.holdVolts(50, 30, 10);
    lv.holdAmps(30);
    assertEquals(SmallUnit.LV_OHMS, volts(lv, "u", "n") / lv.amps(), 1e-11);
  }

  @Test
  void aResistanceTestLeavesTheCoreMagnetisedAndTheExcitationHigher() {
    // FIST 3-30, 9.3.3: residual magnetism left by a test with direct current falsifies excitation.
    SmallUnit unit = new SmallUnit();
    double before = unit.network().alternating("U", "V", 40, 0, 50).amps().abs();
    test(unit, "U", "V", 1);
    double tesla = unit.core.residualTesla(0);
    assertTrue(tesla > 0.3 && tesla < 1.3, "residual " + tesla);
    double after = unit.network().alternating("U", "V", 40, 0, 50).amps().abs();
    assertTrue(after > before * 1.05, after + " was " + before);
    unit.core.demagnetise();
    assertEquals(before, unit.network().alternating("U", "V", 40, 0, 50).amps().abs());
  }

  @Test
  void aTestTheOtherWayRoundLeavesTheOtherSign() {
    SmallUnit one = new SmallUnit();
    test(one, "U", "V", 1);
    SmallUnit other = new SmallUnit();
    test(other, "V", "U", 1);
    for (int limb = 0; limb < 3; limb++) {
      assertEquals(-one.core.residualTesla(limb), other.core.residualTesla(limb), 1e-5);
    }
  }

  @Test
  void whatStaysNeedsNoForceAndGoesRound() {
    // Kirchhoff's laws of the magnetic circuit without current: the sum of the fluxes returns by
    // air, which takes next to nothing here.
    SmallUnit unit = new SmallUnit();
    test(unit, "U", "V", 1);
    double sum = 0;
    for (int limb = 0; limb < 3; limb++) {
      sum += unit.core.residualTesla(limb);
    }
    assertEquals(0, sum, 1e-2);
    double left = unit.core.residualTesla(0);
    unit.network().directCurrent("U", "V").leave();
    assertEquals(left, unit.core.residualTesla(0), 1e-9);
  }

  @Test
  void withoutCurrentAllLimbsTakeTheForceThatDrivesTheRestThroughTheAir() {
    // Kirchhoff's laws of the magnetic circuit: f = −θ in each limb, Σφ = θ·Λ. An air path as good
    // as some limbs takes a good part.
    double air = 1e-4;
    SteelPath path = new SteelPath(Steel.GRAIN_ORIENTED, 0.0235, 1.36, 16e-6);
    Core core = Core.threeLimbs(path, path, path, air, 0);
    core.magnetise(0, 0.8);
    Network network = new Network(core);
    network.coil("a", "b", new Coil(0, 100, 1, 0, 0));
    network.directCurrent("a", "b").leave();
    double force = path.point(core.residual().get(0), 1).force();
    double flux = 0;
    for (int limb = 0; limb < 3; limb++) {
      LimbPath.Point point = path.point(core.residual().get(limb), 1);
      assertEquals(force, point.force(), 1e-9);
      flux += point.flux();
    }
    assertEquals(0, flux + air * force, 1e-12);
    assertTrue(flux > 0.05 * 0.8 * 0.0235, "flux " + flux);
  }

  @Test
  void aCurrentThatIsCutOffLeavesTheCoreMagnetisedToo() {
    // Even from far in saturation: 1320 turns with 10 A take some 8 kA/m.
    SmallUnit unit = new SmallUnit();
    DirectCurrent run = unit.network().directCurrent("U", "V");
    run.holdVolts(50, 20, 10);
    run.holdAmps(25);
    assertEquals(10, run.amps(), 1e-7);
    run.leave();
    double tesla = unit.core.residualTesla(0);
    assertTrue(tesla > 0.3 && tesla < 1.3, "residual " + tesla);
  }

  @Test
  void aSecondRunBeginsWhereTheFirstEnded() {
    // The knee is nearer in the direction in which the core is magnetised already.
    SmallUnit unit = new SmallUnit();
    double first = rise(unit);
    test(unit, "U", "V", 1);
    double again = rise(unit);
    assertTrue(again < 0.8 * first, again + " s after " + first);
    double back = rise(unit, "V", "U");
    assertTrue(back > 1.2 * first, back + " s after " + first);
  }

  private static double rise(SmallUnit unit) {
    return rise(unit, "U", "V");
  }

  private static double rise(SmallUnit unit, String from, String to) {
    DirectCurrent run = unit.network().directCurrent(from, to);
    run.holdVolts(50, 20, 1);
    return run.seconds();
  }

  @Test
  void limbsCanBeMagnetisedFromOutside() {
    SmallUnit unit = new SmallUnit();
    double before = unit.network().alternating("V", "W", 40, 0, 50).amps().abs();
    unit.core.magnetise(1, -0.8);
    assertEquals(-0.8, unit.core.residualTesla(1), 1e-12);
    assertEquals(0, unit.core.residualTesla(0));
    double after = unit.network().alternating("V", "W", 40, 0, 50).amps().abs();
    assertTrue(after > before * 1.03, after + " was " + before);
    assertThrows(IllegalArgumentException.class, () -> unit.core.magnetise(1, 1.2));
    // A limb alone cannot keep it: the flux goes back through the others.
    DirectCurrent run = unit.network().directCurrent("U", "V");
    run.leave();
    assertTrue(Math.abs(unit.core.residualTesla(1)) < 0.8);
    double back = unit.core.residualTesla(0) + unit.core.residualTesla(2);
    assertEquals(-unit.core.residualTesla(1), back, 1e-2);
  }

  @Test
  void shortedTurnsDelayTheCurrentButNotTheEnd() {
    double[] ohms = new double[2];
    for (int shorts = 0; shorts < 2; shorts++) {
      SmallUnit unit = new SmallUnit();
      Network network = unit.network();
      network.resistor("+", "U", 0.1);
      network.resistor("V", "-", 0.1);
      if (shorts == 1) {
        network.coil("s", "s", new Coil(0, 3, 0.05, 1e-4, 0));
      }
      DirectCurrent run = network.directCurrent("+", "-");
      run.holdVolts(50, 40, 1);
      run.holdAmps(40);
      ohms[shorts] = volts(run, "U", "V") / run.amps();
    }
    assertEquals(ohms[0], ohms[1], 1e-7);
  }

  @Test
  void sameRunsHaveSameDigits() {
    SmallUnit one = new SmallUnit();
    SmallUnit other = new SmallUnit();
    DirectCurrent first = test(one, "U", "V", 1);
    DirectCurrent second = test(other, "U", "V", 1);
    assertEquals(first.amps(), second.amps());
    assertEquals(volts(first, "u", "n"), volts(second, "u", "n"));
    assertEquals(one.core.residual(), other.core.residual());
  }
}
