package org.tallywire.simulator.physics;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.Random;
import org.apache.commons.math3.complex.Complex;
import org.junit.jupiter.api.DynamicTest;
import org.junit.jupiter.api.TestFactory;

/**
 * The laws of all networks in networks drawn by chance; each test's name says its seed. Every coil
 * has a resistor in series, which shows its current.
 */
class RandomNetworkTest {

  private static final int NETWORKS = 20;
  private static final double HERTZ = 50;
  private static final double OMEGA = 2 * Math.PI * HERTZ;
  private static final double AIR = 2e-7;
  private static final double[] LEAKAGE = {3e-8, 1e-8};
  private static final double[] RELUCTANCES = {2e5, 1e5, 2e5};

  /** A branch from node to node; with a coil, it leads through the resistor first. */
  private record Part(String from, String to, double ohms, Optional<Coil> coil) {
    String middle() {
      return coil.isPresent() ? from + ">" + to + "|" + coil.get().turns() : to;
    }
  }

  private static Core core() {
    return Core.threeLimbs(
        new LinearPath(RELUCTANCES[0]),
        new LinearPath(RELUCTANCES[1]),
        new LinearPath(RELUCTANCES[2]),
        AIR,
        LEAKAGE);
  }

  /** Parts between nodes n0 to n5, joined in a ring so that all hang together, and some more. */
  private static List<Part> parts(Random random) {
    List<Part> parts = new ArrayList<>();
    int turns = 10;
    for (int k = 0; k < 6 + random.nextInt(8); k++) {
      String from = "n" + (k < 6 ? k : random.nextInt(6));
      String to = "n" + (k < 6 ? (k + 1) % 6 : random.nextInt(6));
      double ohms = Math.pow(10, random.nextDouble() * 5 - 2);
      turns += 1 + random.nextInt(100);
      Coil coil =
          new Coil(
              random.nextInt(3), turns, random.nextDouble(), random.nextDouble() * 1e-3, k % 2);
      boolean wound = random.nextBoolean() || from.equals(to);
      parts.add(new Part(from, to, ohms, wound ? Optional.of(coil) : Optional.empty()));
    }
    return parts;
  }

  private static Network network(List<Part> parts) {
    return network(parts, core());
  }

  private static Network network(List<Part> parts, Core core) {
    Network network = new Network(core);
    for (Part part : parts) {
      network.resistor(part.from(), part.middle(), part.ohms());
      part.coil().ifPresent(coil -> network.coil(part.middle(), part.to(), coil));
    }
    return network;
  }

  private static Complex volts(Network.Alternating found, String from, String to) {
    return found.volts(from, to).orElseThrow();
  }

  private static Complex amps(Network.Alternating found, Part part) {
    return volts(found, part.from(), part.middle()).divide(part.ohms());
  }

  private interface Check {
    void with(Random random);
  }

  private static List<DynamicTest> each(Check check) {
    List<DynamicTest> tests = new ArrayList<>();
    for (int network = 0; network < NETWORKS; network++) {
      long seed = 7919L * network + 11;
      tests.add(DynamicTest.dynamicTest("seed " + seed, () -> check.with(new Random(seed))));
    }
    return tests;
  }

  @TestFactory
  List<DynamicTest> currentsOfEveryNodeAddUpToZero() {
    return each(
        random -> {
          List<Part> parts = parts(random);
          Network.Alternating found = network(parts).alternating("n0", "n3", 100, 1.5, HERTZ);
          double scale = found.amps().abs();
          for (int node = 0; node < 6; node++) {
            Complex sum = Complex.ZERO;
            for (Part part : parts) {
              Complex amps = amps(found, part);
              sum = part.from().equals("n" + node) ? sum.add(amps) : sum;
              sum = part.to().equals("n" + node) ? sum.subtract(amps) : sum;
            }
            Complex source = node == 0 ? found.amps() : Complex.ZERO;
            source = node == 3 ? found.amps().negate() : source;
            assertEquals(0, sum.subtract(source).abs(), scale * 1e-8, "node " + node);
          }
          Complex inner = found.amps().multiply(1.5);
          Complex terminals = volts(found, "n0", "n3");
          assertEquals(0, new Complex(100).subtract(inner).subtract(terminals).abs(), 1e-9);
        });
  }

  /** Permeance between limbs by Kirchhoff's laws of the magnetic circuit (by hand). */
  private static double permeance(int limb, int other) {
    double sum = AIR;
    for (double reluctance : RELUCTANCES) {
      sum += 1 / reluctance;
    }
    double shared = 1 / (RELUCTANCES[limb] * RELUCTANCES[other] * sum);
    return (limb == other ? 1 / RELUCTANCES[limb] : 0) - shared;
  }

  @TestFactory
  List<DynamicTest> everyCoilHasTheVoltageOfItsFluxes() {
    // u_a = R·i_a + jω·(N_a·Σ P·N_b·i_b + Σ Λ·N_a·N_b·i_b + L·i_a), written out branch by branch.
    return each(
        random -> {
          List<Part> parts = parts(random);
          Network.Alternating found = network(parts).alternating("n0", "n3", 100, 1.5, HERTZ);
          for (Part part : parts) {
            if (part.coil().isEmpty()) {
              continue;
            }
            Coil coil = part.coil().get();
            Complex linkage = amps(found, part).multiply(coil.henries());
            for (Part other : parts) {
              if (other.coil().isPresent()) {
                Coil second = other.coil().get();
                double shared = permeance(coil.limb(), second.limb());
                if (coil.limb() == second.limb() && coil.layer() == second.layer()) {
                  shared += LEAKAGE[coil.layer()];
                }
                double mutual = coil.turns() * second.turns() * shared;
                linkage = linkage.add(amps(found, other).multiply(mutual));
              }
            }
            Complex expected =
                amps(found, part)
                    .multiply(coil.ohms())
                    .add(linkage.multiply(new Complex(0, OMEGA)));
            Complex across = volts(found, part.middle(), part.to());
            assertEquals(0, expected.subtract(across).abs(), 1e-6);
          }
        });
  }

  @TestFactory
  List<DynamicTest> powerInIsTheHeatOfTheResistances() {
    return each(
        random -> {
          List<Part> parts = parts(random);
          Network.Alternating found = network(parts).alternating("n0", "n3", 100, 1.5, HERTZ);
          double heat = 1.5 * Math.pow(found.amps().abs(), 2);
          for (Part part : parts) {
            double ohms = part.ohms() + part.coil().map(Coil::ohms).orElse(0.0);
            heat += ohms * Math.pow(amps(found, part).abs(), 2);
          }
          assertEquals(heat, 100 * found.amps().getReal(), heat * 1e-8);
        });
  }

  @TestFactory
  List<DynamicTest> sourceAndMeterMayChangePlaces() {
    // Reciprocity: the voltage at one pair for the current at the other is the same both ways.
    return each(
        random -> {
          Network network = network(parts(random));
          Network.Alternating one = network.alternating("n0", "n3", 100, 1.5, HERTZ);
          Network.Alternating other = network.alternating("n1", "n4", 7, 0.2, HERTZ);
          Complex there = volts(one, "n1", "n4").divide(one.amps());
          Complex back = volts(other, "n0", "n3").divide(other.amps());
          assertEquals(0, there.subtract(back).abs(), 1e-9 * (there.abs() + 1e-3));
        });
  }

  @TestFactory
  List<DynamicTest> currentsOfEveryNodeAddUpToZeroWhileTheyRise() {
    return each(
        random -> {
          List<Part> parts = parts(random);
          DirectCurrent run = network(parts).directCurrent("n0", "n3");
          for (double seconds : new double[] {1e-4, 1e-2, 0.1}) {
            run.holdVolts(10, seconds, Double.NaN);
            assertEquals(10, run.volts("n0", "n3").orElseThrow(), 1e-5);
            for (int node = 0; node < 6; node++) {
              double sum = 0;
              for (Part part : parts) {
                double amps = run.volts(part.from(), part.middle()).orElseThrow() / part.ohms();
                sum += part.from().equals("n" + node) ? amps : 0;
                sum -= part.to().equals("n" + node) ? amps : 0;
              }
              double source = node == 0 ? run.amps() : node == 3 ? -run.amps() : 0;
              assertEquals(source, sum, 1e-6 * (1 + Math.abs(run.amps())), "node " + node);
              assertTrue(run.closed());
            }
          }
        });
  }
}
