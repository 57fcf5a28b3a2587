package org.tallywire.fault;

import java.util.List;
import java.util.Random;
import org.junit.jupiter.api.Assumptions;

/**
 * One fault as this run asks for it: {@code tallywire.faults} is small or large, {@code
 * tallywire.faults.only} leaves out all but those named, {@code tallywire.seed} repeats a run.
 *
 * @param word its name in the report and on the command line
 * @param cycles how many times it is to be
 * @param seed of everything drawn by lot; printed, and in the report
 */
record Fault(String word, int cycles, long seed) {

  /** Returns the fault as asked for; ends the test as skipped if others alone are asked for. */
  static Fault of(String word, int small, int large) {
    String only = System.getProperty("tallywire.faults.only", "");
    Assumptions.assumeTrue(
        only.isEmpty() || List.of(only.split(",", -1)).contains(word),
        "only \"%s\" is asked for".formatted(only));
    Long given = Long.getLong("tallywire.seed");
    long seed = given == null ? new Random().nextInt(1_000_000_000) : given;
    Fault fault = new Fault(word, isLarge() ? large : small, seed);
    System.out.printf("fault %s: %d cycles, seed %d%n", word, fault.cycles, seed);
    return fault;
  }

  /** Returns whether the large sizes are asked for. */
  static boolean isLarge() {
    String size = System.getProperty("tallywire.faults", "small");
    return switch (size) {
      case "large" -> true;
      case "small" -> false;
      default ->
          throw new IllegalArgumentException(
              "-Dtallywire.faults=%s: small or large".formatted(size));
    };
  }

  /** Returns the run's random numbers, from its seed. */
  Random random() {
    return new Random(seed);
  }
}
