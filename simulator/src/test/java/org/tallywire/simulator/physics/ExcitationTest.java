package org.tallywire.simulator.physics;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.apache.commons.math3.complex.Complex;
import org.junit.jupiter.api.Test;

/** Alternating current in coils on a core of steel. */
class ExcitationTest {

  private static final double OMEGA = 2 * Math.PI * 50;

  private static Network.Alternating hv(SmallUnit unit, int phase, double volts) {
    String[] nodes = {"U", "V", "W", "U"};
    return unit.network().alternating(nodes[phase], nodes[phase + 1], volts, 0, 50);
  }

  private static Complex volts(Network.Alternating found, String from, String to) {
    return found.volts(from, to).orElseThrow();
  }

  @Test
  void oneCoilTakesWhatTheSteelTakes() {
    // Without resistance the flux density follows from the voltage, U·√2/(ω·N·A) (transformer
    // equation), the current from the steel: H·l/(N·√2), the part of loss in phase with U.
    SteelPath path = new SteelPath(Steel.GRAIN_ORIENTED, 0.01, 2, 1e-5);
    for (double tesla : new double[] {1e-4, 0.01, 0.5, 1.6, 2.0, 2.3}) {
      Network network = new Network(Core.oneLimb(path, 0));
      network.coil("a", "b", new Coil(0, 500, 0, 0, 0));
      double volts = tesla * OMEGA * 500 * 0.01 / Math.sqrt(2);
      Complex amps = network.alternating("a", "b", volts, 0, 50).amps();
      Steel.Field field = Steel.GRAIN_ORIENTED.alternating(tesla, Steel.Magnetisation.NONE, 50);
      double gap = tesla / Steel.VACUUM_PERMEABILITY * 1e-5;
      double turns = 500 * Math.sqrt(2);
      double magnetising = (field.inPhaseWithFlux() * 2 + gap) / turns;
      assertEquals(-magnetising, amps.getImaginary(), magnetising * 1e-9);
      assertEquals(field.inPhaseWithVolts() * 2 / turns, amps.getReal(), amps.abs() * 1e-9);
    }
  }

  @Test
  void powerIsThatOfResistanceAndCore() {
    // Energy: Re(U·I) = R·I² + volume·f·(area of the loop and eddy currents), the flux density by
    // the voltage of a second coil.
    double loss = 0;
    SteelPath path = new SteelPath(Steel.GRAIN_ORIENTED, 0.01, 2, 0);
    Network network = new Network(Core.oneLimb(path, 1e-7));
    network.coil("a", "b", new Coil(0, 500, 200, 0, 0));
    network.coil("c", "d", new Coil(0, 100, 0, 0, 0));
    for (double volts : new double[] {1, 50, 500, 2000}) {
      Network.Alternating found = network.alternating("a", "b", volts, 0, 50);
      Complex leakage = found.amps().multiply(new Complex(0, OMEGA * 500 * 100 * 1e-7));
      Complex perTurn = volts(found, "c", "d").subtract(leakage).divide(100);
      double tesla = perTurn.abs() * Math.sqrt(2) / (OMEGA * 0.01);
      Steel.Field field = Steel.GRAIN_ORIENTED.alternating(tesla, Steel.Magnetisation.NONE, 50);
      loss = Math.PI * tesla * field.inPhaseWithVolts() * 50 * 0.01 * 2;
      double heat = 200 * found.amps().abs() * found.amps().abs();
      assertEquals(heat + loss, volts * found.amps().getReal(), (heat + loss) * 1e-9);
    }
    assertTrue(loss > 1, "the last one is beyond the knee: " + loss + " W");
  }

  @Test
  void excitationOfASoundUnitFollowsTheVoltage() {
    // Practice: not in proportion, and at rated voltage 0.2 to 2 % of the rated current, 7.58 A.
    SmallUnit unit = new SmallUnit();
    double atTen = hv(unit, 0, 10).amps().abs();
    double atForty = hv(unit, 0, 40).amps().abs();
    double atRated = hv(unit, 0, 11_000).amps().abs();
    assertTrue(atForty > 3 * atTen && atForty < 3.99 * atTen, atTen + " " + atForty);
    assertTrue(atRated > 0.002 * 7.58 && atRated < 0.02 * 7.58, "rated " + atRated);
  }

  @Test
  void theCentreLimbTakesLessThanTheOuterLimbs() {
    // Two phases alike and the third lower (FIST 3-30, 9.3.3; three-limb core).
    SmallUnit unit = new SmallUnit();
    double first = hv(unit, 0, 40).amps().abs();
    double centre = hv(unit, 1, 40).amps().abs();
    double last = hv(unit, 2, 40).amps().abs();
    assertEquals(first, last, first * 1e-9);
    assertTrue(centre < 0.9 * first, centre + " " + first);
  }

  @Test
  void voltsBeyondSaturationAreTakenByTheAirOfTheCoil() {
    // At 40 kV, 5.8 T by the transformer equation: the unit's air paths and leakage bear it.
    double amps = hv(new SmallUnit(), 0, 40_000).amps().abs();
    assertTrue(amps > 100 && amps < 5000, "amps " + amps);
  }

  @Test
  void aFloatingStarSharesTheVoltageAsItsLimbsNeed() {
    // Current alone decides on the flux here: Kirchhoff and the ring of the three fluxes hold.
    SmallUnit unit = new SmallUnit();
    for (double volts : new double[] {1, 40, 11_000, 30_000}) {
      for (double sourceOhms : new double[] {0, 1e3, 1e5}) {
        Network star = new Network(SmallUnit.core(Steel.GRAIN_ORIENTED));
        for (int limb = 0; limb < 3; limb++) {
          star.coil("t" + limb, "n", new Coil(limb, 1320, 6.4, 0, 0));
        }
        Network.Alternating found = star.alternating("t0", "t1", volts, sourceOhms, 50);
        Complex drop = found.amps().multiply(sourceOhms);
        Complex across = volts(found, "t0", "n").add(volts(found, "n", "t1"));
        assertEquals(0, new Complex(volts).subtract(drop).subtract(across).abs(), volts * 1e-12);
        Complex air = volts(found, "t0", "n").add(volts(found, "t1", "n"));
        Complex ring = air.add(volts(found, "t2", "n"));
        assertTrue(ring.abs() < 0.02 * volts, "what returns by air: " + ring);
      }
    }
    assertEquals(0, unit.core.residualTesla(0));
  }

  @Test
  void nearlyIdealCoresShowTheTurns() {
    // Relative permeability 1e9: R = l/(μ·A).
    double reluctance = 1.36 / (1e9 * Steel.VACUUM_PERMEABILITY * 0.0235);
    LinearPath path = new LinearPath(reluctance);
    Network network = new Network(Core.threeLimbs(path, path, path, 0, 0));
    network.coil("a", "b", new Coil(0, 1320, 6.4, 0, 0));
    network.coil("b", "c", new Coil(1, 1320, 6.4, 0, 0));
    network.coil("c", "a", new Coil(2, 1320, 6.4, 0, 0));
    network.coil("u", "v", new Coil(0, 30, 0.002, 0, 0));
    network.resistor("u", "v", 1e6);
    Network.Alternating found = network.alternating("a", "b", 40, 0, 50);
    Complex ratio = volts(found, "a", "b").divide(volts(found, "u", "v"));
    assertEquals(44, ratio.getReal(), 44e-8);
    // The windings of the delta share the voltmeter's current, 40/44 V by 44 MΩ, as 2/3 and 1/3.
    assertEquals(40 / 44.0 / 44e6, found.amps().getReal(), 1e-10);
  }

  @Test
  void sameQuestionsHaveSameDigits() {
    SmallUnit unit = new SmallUnit();
    Network network = unit.network();
    Network.Alternating first = network.alternating("U", "V", 40, 2, 50);
    network.alternating("U", "V", 11_000, 2, 50);
    unit.network().alternating("V", "W", 500, 2, 50);
    Network.Alternating second = network.alternating("U", "V", 40, 2, 50);
    assertEquals(first.amps(), second.amps());
    assertEquals(first.volts("u", "n"), second.volts("u", "n"));
  }
}
