package org.tallywire.simulator.physics;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.Optional;
import org.junit.jupiter.api.Test;

/** Direct current in networks whose cores are linear, against textbooks and hand calculation. */
class TransientTest {

  private static final int TURNS = 100;

  /** A core on which a coil of a hundred turns has that inductance. */
  private static Core core(double henries) {
    return Core.oneLimb(new LinearPath(TURNS * TURNS / henries), 0);
  }

  private static double volts(DirectCurrent run, String from, String to) {
    return run.volts(from, to).orElseThrow();
  }

  /** A coil without resistance and a resistor in series between a and c. */
  private static DirectCurrent series(double henries, double ohms) {
    Network network = new Network(core(henries));
    network.coil("a", "b", new Coil(0, TURNS, 0, 0, 0));
    network.resistor("b", "c", ohms);
    return network.directCurrent("a", "c");
  }

  @Test
  void theRiseOfTheTextbook() {
    // 15 V, 1 Ω, 1 H: 14.547 A and 0.453 V across the inductance after 3.5 s (Lessons In Electric
    // Circuits, DC, chapter 16; more digits by hand).
    DirectCurrent run = series(1, 1);
    run.holdVolts(15, 3.5, Double.NaN);
    assertEquals(3.5, run.seconds());
    assertEquals(14.547039, run.amps(), 1e-6);
    assertEquals(0.452961, volts(run, "a", "b"), 1e-6);
    assertEquals(15, volts(run, "a", "c"), 1e-12);
  }

  @Test
  void theCourseOfTheReadingIsTheClosedForm() {
    // i = (V/R)(1 − e^(−t/τ)): percent of the end, and by how many percent U/I is too high
    // (derived; by hand).
    double[][] table = {
      {1, 63.2121, 58.1977},
      {3, 95.0213, 5.2396},
      {5, 99.3262, 0.678365},
      {6, 99.7521, 0.248491},
      {7, 99.9088, 0.091271},
      {10, 99.9955, 0.004540}
    };
    Network network = new Network(core(6));
    network.coil("a", "b", new Coil(0, TURNS, 2, 0, 0));
    DirectCurrent run = network.directCurrent("a", "b");
    for (double[] row : table) {
      run.holdVolts(20, row[0] * 3, Double.NaN);
      assertEquals(row[1], run.amps() / 10 * 100, 1e-4);
      double ohms = volts(run, "a", "b") / run.amps();
      assertEquals(row[2], (ohms / 2 - 1) * 100, row[0] < 5 ? 1e-4 : 1e-5);
    }
  }

  @Test
  void aSourceThatReachesItsCurrentHoldsIt() {
    // 15 V reach 3 A at −ln(1 − 3/15) = 0.223144 s; then the inductance takes no voltage.
    DirectCurrent run = series(1, 1);
    run.holdVolts(15, 10, 3);
    assertEquals(0.22314355, run.seconds(), 1e-7);
    assertEquals(3, run.amps(), 1e-8);
    assertEquals(12, volts(run, "a", "b"), 1e-7);
    double seconds = run.seconds();
    run.holdVolts(15, 10, 3);
    assertEquals(seconds, run.seconds());
    run.holdAmps(2);
    assertEquals(2, run.seconds());
    assertEquals(3, run.amps(), 1e-8);
    assertEquals(0, volts(run, "a", "b"), 1e-9);
    assertEquals(3, volts(run, "a", "c"), 1e-8);
  }

  @Test
  void aChargedWindingGivesBackHalfOfInductanceTimesCurrentSquared() {
    // 5 H at 10 A store 250 J (½·L·I², by hand). Shorted through 1 Ω: the resistor gets all of it.
    DirectCurrent run = series(5, 1);
    run.holdVolts(1000, 10, 10);
    double start = run.seconds();
    double joules = 0;
    double interval = 0.05;
    for (int k = 0; k < 2000; k++) {
      // Simpson's rule.
      double first = volts(run, "b", "c") * run.amps();
      run.holdVolts(0, start + (k + 0.5) * interval, Double.NaN);
      double middle = volts(run, "b", "c") * run.amps();
      run.holdVolts(0, start + (k + 1) * interval, Double.NaN);
      joules += (first + 4 * middle + volts(run, "b", "c") * run.amps()) * interval / 6;
    }
    assertEquals(250, joules, 1e-4);
  }

  @Test
  void twoLikeCoilsRiseInTwoModes() {
    // L1 = L2 = 1 + 0.2 H, M = 1 H, R = 2 Ω each; 10 V on the first, the second shorted. Sum and
    // difference of the currents are R-L rises of L + M and L − M (by hand).
    Network network = new Network(core(1));
    network.coil("a", "b", new Coil(0, TURNS, 2, 0.2, 0));
    network.coil("c", "c", new Coil(0, TURNS, 2, 0.2, 0));
    DirectCurrent run = network.directCurrent("a", "b");
    for (double seconds : new double[] {0.01, 0.05, 0.3, 1, 4}) {
      run.holdVolts(10, seconds, Double.NaN);
      double sum = 5 * (1 - Math.exp(-seconds * 2 / 2.2));
      double difference = 5 * (1 - Math.exp(-seconds * 2 / 0.2));
      assertEquals((sum + difference) / 2, run.amps(), 5e-6);
    }
  }

  @Test
  void coilsOfALayerShareItsLeakageFlux() {
    // Λσ = 1e-5 and core 1e-4 Wb/A, both coils in the layer: L = M = 1.1 H; open, the second shows
    // M·di/dt = V − R·i of the first.
    Network network = new Network(Core.oneLimb(new LinearPath(1e4), 1e-5, 1));
    network.coil("a", "b", new Coil(0, TURNS, 2, 0, 0));
    network.coil("c", "d", new Coil(0, TURNS, 2, 0, 0));
    DirectCurrent run = network.directCurrent("a", "b");
    run.holdVolts(10, 0.7, Double.NaN);
    assertEquals(5 * (1 - Math.exp(-0.7 * 2 / 1.1)), run.amps(), 1e-6);
    assertEquals(10 - 2 * run.amps(), volts(run, "c", "d"), 1e-9);
  }

  @Test
  void anUnbalancedBridgeSettlesToKirchhoffsValues() {
    // 10 V; arms 2 Ω over 3 Ω against 4 Ω over 1 Ω; a coil of 5 Ω across: 6 V against 2 V behind
    // 1.2 + 0.8 Ω give 4/7 A (Thévenin, by hand). At first the coil lets nothing through: 4 V.
    Network network = new Network(core(0.7));
    network.resistor("+", "b", 2);
    network.resistor("b", "-", 3);
    network.resistor("+", "c", 4);
    network.resistor("c", "-", 1);
    network.coil("b", "c", new Coil(0, TURNS, 5, 0, 0));
    DirectCurrent run = network.directCurrent("+", "-");
    run.holdVolts(10, 1e-9, Double.NaN);
    assertEquals(4, volts(run, "b", "c"), 1e-6);
    assertEquals(10 / 5.0 + 10 / 5.0, run.amps(), 1e-6);
    // τ = 0.7 H / 7 Ω; after it 4/7·(1 − 1/e) A drop 2 Ω of the 4 V.
    run.holdVolts(10, 0.1, Double.NaN);
    assertEquals(4 - 8 / 7.0 * (1 - Math.exp(-1)), volts(run, "b", "c"), 1e-6);
    run.holdVolts(10, 5, Double.NaN);
    assertEquals(20 / 7.0, volts(run, "b", "c"), 1e-7);
  }

  @Test
  void lineResistancesOfADelta() {
    // Phases 0.300, 0.306, 0.303 Ω: lines 0.200990099010, 0.202990099010, 0.202 (Kirchhoff), once
    // the currents have settled.
    String[] nodes = {"A", "B", "C", "A"};
    double[] phases = {0.300, 0.306, 0.303};
    double[] lines = {0.200990099010, 0.202990099010, 0.202};
    for (int line = 0; line < 3; line++) {
      LinearPath path = new LinearPath(1e6);
      Network network = new Network(Core.threeLimbs(path, path, path, 1e-7, 0));
      for (int limb = 0; limb < 3; limb++) {
        network.coil(nodes[limb], nodes[limb + 1], new Coil(limb, TURNS, phases[limb], 0, 0));
      }
      DirectCurrent run = network.directCurrent(nodes[line], nodes[line + 1]);
      run.holdVolts(10, 10, 5);
      run.holdAmps(10);
      double ohms = volts(run, nodes[line], nodes[line + 1]) / run.amps();
      assertEquals(lines[line], ohms, 1e-8);
    }
  }

  @Test
  void timeConstantsFarShorterThanTheOthersDoNoHarm() {
    // A shorted turn (20 µH, 0.05 Ω: 0.4 ms) beside a winding: at the end the reading is that of
    // resistances, and the current rose as without it but for the eddy's share.
    Network network = new Network(core(72));
    network.coil("a", "b", new Coil(0, TURNS, 6, 0, 0));
    network.coil("s", "s", new Coil(0, 1, 0.05, 20e-6, 0));
    DirectCurrent run = network.directCurrent("a", "b");
    run.holdVolts(12, 12, Double.NaN);
    // The core: 12 V behind 6 Ω, and 0.05·100² = 500 Ω as the short's share beside it: τ =
    // 72·(1/6 + 1/500) s; the short carries e/500 of what the core's voltage is.
    double share = Math.exp(-12 / (72 * (1 / 6.0 + 1 / 500.0)));
    double coreVolts = 12 * share / (1 + 6 / 500.0);
    assertEquals((12 - coreVolts) / 6, run.amps(), 2e-5);
    run.holdVolts(12, 400, Double.NaN);
    assertEquals(2, run.amps(), 1e-8);
  }

  @Test
  void resistorsAloneObeyOhmsLawAtOnce() {
    Network network = new Network(core(1));
    network.resistor("a", "b", 2);
    network.resistor("b", "c", 3);
    DirectCurrent run = network.directCurrent("a", "c");
    run.holdVolts(10, 1e-6, Double.NaN);
    assertEquals(2, run.amps(), 1e-12);
    assertEquals(6, volts(run, "b", "c"), 1e-12);
    run.holdVolts(-5, 2, Double.NaN);
    assertEquals(-1, run.amps(), 1e-12);
  }

  @Test
  void anOpenCircuitCarriesNothing() {
    Network network = new Network(core(1));
    network.coil("a", "b", new Coil(0, TURNS, 2, 0, 0));
    DirectCurrent run = network.directCurrent("a", "x");
    assertFalse(run.closed());
    run.holdVolts(10, 3, 1);
    assertEquals(3, run.seconds());
    assertEquals(0, run.amps());
    assertEquals(10, volts(run, "b", "x"), 1e-12);
    assertEquals(0, volts(run, "a", "b"), 1e-12);
    assertEquals(Optional.empty(), run.volts("a", "y"));
    assertTrue(network.directCurrent("a", "b").closed());
  }
}
