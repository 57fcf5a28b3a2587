package org.tallywire.simulator.physics;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Optional;
import org.apache.commons.math3.complex.Complex;
import org.junit.jupiter.api.Test;

/** Alternating current in networks against circuits solved by hand. */
class NetworkTest {

  private static final double HERTZ = 50;
  private static final double OMEGA = 2 * Math.PI * HERTZ;

  private static Core core(double outer, double centre, double air) {
    LinearPath path = new LinearPath(outer);
    return Core.threeLimbs(path, new LinearPath(centre), path, air, 0);
  }

  private static void close(Complex expected, Complex found, double tolerance) {
    assertTrue(
        expected.subtract(found).abs() <= tolerance, "expected " + expected + ", found " + found);
  }

  private static Complex volts(Network.Alternating found, String from, String to) {
    return found.volts(from, to).orElseThrow();
  }

  /** Delta from A to B to C to A with limb 0, 1, 2 between them. */
  private static void delta(Network network, int turns, double ohms) {
    network.coil("A", "B", new Coil(0, turns, ohms, 0, 0));
    network.coil("B", "C", new Coil(1, turns, ohms, 0, 0));
    network.coil("C", "A", new Coil(2, turns, ohms, 0, 0));
  }

  @Test
  void centreLimbNeedsThreeQuartersOfTheOutersCurrent() {
    // a + ab/(a+b) against b + a/2 with a = 2, b = 1: 2 / 2.6667 = 0.75 (derived by hand). Ten
    // turns take 1 V: flux 1/(10·ω), current by reluctance.
    double[] amps = new double[3];
    for (int limb = 0; limb < 3; limb++) {
      Network network = new Network(core(2, 1, 0));
      network.coil("a", "b", new Coil(limb, 10, 0, 0, 0));
      amps[limb] = network.alternating("a", "b", 1, 0, HERTZ).amps().abs();
    }
    assertEquals(0.75, amps[1] / amps[0], 1e-12);
    assertEquals((2 + 2.0 / 3) / (100 * OMEGA), amps[0], 1e-15);
    assertEquals(amps[0], amps[2], 1e-18);
  }

  @Test
  void fluxesOfALimbsForceAddUpToWhatReturnsThroughTheAir() {
    // Kirchhoff: with an air path of permeance 0.5 beside limbs 2, 1, 2 and 1 A on limb 0:
    // θ = (1/2)/(1/2 + 1 + 1/2 + 0.5) = 0.2; fluxes 0.4, −0.2, −0.1. One turn on each limb shows
    // them as voltages jω·φ.
    Network network = new Network(core(2, 1, 0.5));
    network.coil("a", "b", new Coil(0, 1, 1e6, 0, 0));
    network.coil("c", "d", new Coil(1, 1, 0, 0, 0));
    network.coil("e", "f", new Coil(2, 1, 0, 0, 0));
    Network.Alternating found = network.alternating("a", "b", 1e6, 0, HERTZ);
    Complex amps = found.amps();
    close(new Complex(0, OMEGA * -0.2).multiply(amps), volts(found, "c", "d"), 1e-9);
    close(new Complex(0, OMEGA * -0.1).multiply(amps), volts(found, "e", "f"), 1e-9);
    close(new Complex(1e6, OMEGA * 0.4).multiply(amps), new Complex(1e6), 1e-6);
  }

  @Test
  void aSymmetricalDeltaTakesTheCurrentFoundByHand() {
    // All reluctances R, no air path: I = 1.5·V/(r + jωN²/R), and V drops r·I/1.5 of it.
    Complex winding = new Complex(6, OMEGA * 1000 * 1000 / 30_000);
    Complex expected = new Complex(60).divide(winding);
    String[] nodes = {"A", "B", "C", "A"};
    for (int phase = 0; phase < 3; phase++) {
      Network network = new Network(core(30_000, 30_000, 0));
      delta(network, 1000, 6);
      network.coil("n", "p", new Coil(phase, 1000, 1, 0, 0));
      Network.Alternating found = network.alternating(nodes[phase], nodes[phase + 1], 40, 0, HERTZ);
      close(expected, found.amps(), 1e-12);
      Complex drop = found.amps().multiply(6 / 1.5);
      close(new Complex(40).subtract(drop), volts(found, "n", "p"), 1e-10);
    }
  }

  /** Of phase A a few turns closed on themselves, beside a delta and a coil to measure with. */
  private static Network shorted(int turns, int shorted, double ohmsPerTurn, double henries) {
    Network network = new Network(core(1e-3, 1e-3, 0));
    double ohms = turns * ohmsPerTurn;
    network.coil("A", "B", new Coil(0, turns - shorted, (turns - shorted) * ohmsPerTurn, 0, 0));
    network.coil("B", "C", new Coil(1, turns, ohms, 0, 0));
    network.coil("C", "A", new Coil(2, turns, ohms, 0, 0));
    network.coil("s", "s", new Coil(0, shorted, shorted * ohmsPerTurn, henries, 0));
    network.coil("n", "p", new Coil(0, 1, 0, 0, 0));
    return network;
  }

  @Test
  void shortedTurnsWithoutLeakageLeaveTheRatioAsItWas() {
    // Ideal core, N turns of r1 each, s of them closed on themselves: the current they draw drops
    // s/N of the voltage in the others, so V = N·e exactly (by hand), and the source gives
    // s·e/((N − s)·r1).
    Network.Alternating found = shorted(1000, 3, 0.005, 0).alternating("A", "B", 40, 0, HERTZ);
    double perTurn = volts(found, "n", "p").abs();
    assertEquals(1000, 40 / perTurn, 1e-6);
    assertEquals(3 * perTurn / (997 * 0.005), found.amps().abs(), 1e-8);
  }

  @Test
  void aLeakingShortLowersTheRatioAsFoundByHand() {
    // As above with reactance x in the loop of resistance ρ: the other two windings take current
    // too, and V/e = N − (2/3)·s·jx/(ρ + jx) exactly; with x = ρ: N − s/3·(1 + j).
    Network.Alternating found =
        shorted(1000, 20, 0.005, 0.1 / OMEGA).alternating("A", "B", 40, 0, HERTZ);
    Complex quotient = new Complex(40).divide(volts(found, "n", "p"));
    close(new Complex(1000 - 20 / 3.0, -20 / 3.0), quotient, 1e-5);
  }

  @Test
  void twoCoupledCoilsOfTheTextbook() {
    // L1 = N1²Λ, L2 = N2²Λ + Lσ, M = N1·N2·Λ with Λ = 1e-6: 0.01, 0.04 + 0.001, 0.02 H;
    // Z = R1 + jωL1 + (ωM)²/(R2 + jωL2) (textbook formula of the coupled circuit).
    Network network = new Network(Core.oneLimb(new LinearPath(1e6), 0));
    network.coil("a", "b", new Coil(0, 100, 2, 0, 0));
    network.coil("c", "d", new Coil(0, 200, 3, 0.001, 0));
    network.resistor("c", "d", 5);
    Complex secondary = new Complex(8, OMEGA * 0.041);
    double reactance = OMEGA * 0.02;
    Complex impedance =
        new Complex(2, OMEGA * 0.01).add(new Complex(reactance * reactance).divide(secondary));
    Network.Alternating found = network.alternating("a", "b", 10, 0, HERTZ);
    Complex amps = new Complex(10).divide(impedance);
    close(amps, found.amps(), 1e-12);
    // The load's voltage: jωM·I1 drives the secondary against the loop's sense.
    Complex load = new Complex(0, reactance).multiply(amps).divide(secondary).multiply(5);
    close(load, volts(found, "c", "d"), 1e-12);
  }

  @Test
  void leakageIsSharedInALayerAndStandsInSeries() {
    // Near-ideal core, layer 0 with Λσ, layer 1 without: shorted by the other layer, N turns show
    // ωN²Λσ; by a coil of the same layer they show nothing but resistance (here 1e-3 Ω).
    for (int layer = 0; layer < 2; layer++) {
      Network network = new Network(Core.oneLimb(new LinearPath(1e-9), 2e-8, 0));
      network.coil("a", "b", new Coil(0, 100, 0, 0, 0));
      network.coil("c", "c", new Coil(0, 100, 1e-3, 0, layer));
      Complex impedance = new Complex(1).divide(network.alternating("a", "b", 1, 0, HERTZ).amps());
      close(new Complex(1e-3, layer * OMEGA * 2e-4), impedance, 1e-12);
    }
  }

  @Test
  void partsWithoutALoopCarryNoCurrentAndShowTheirVoltage() {
    Network network = new Network(core(1000, 1000, 0));
    network.coil("a", "b", new Coil(0, 100, 1, 0, 0));
    network.coil("c", "d", new Coil(0, 50, 1, 0, 0));
    network.resistor("b", "e", 0);
    network.resistor("b", "e", 0);
    Network.Alternating open = network.alternating("a", "d", 10, 1, HERTZ);
    assertEquals(Complex.ZERO, open.amps());
    close(new Complex(10), volts(open, "a", "d"), 1e-12);
    Network.Alternating found = network.alternating("a", "e", 10, 1, HERTZ);
    assertEquals(Optional.empty(), found.volts("a", "c"));
    assertEquals(Optional.empty(), found.volts("a", "nowhere"));
    close(volts(found, "a", "b"), volts(found, "a", "e"), 0);
    close(new Complex(10).subtract(found.amps()), volts(found, "a", "b"), 1e-12);
  }

  @Test
  void aShortCircuitWithoutResistanceIsRefused() {
    Network network = new Network(core(1, 1, 0));
    network.resistor("a", "b", 0);
    assertThrows(ArithmeticException.class, () -> network.alternating("a", "b", 1, 0, HERTZ));
  }
}
