package org.tallywire.simulator.scenario;

import java.util.Random;

/**
 * What decides every reading: the same scenario gives the same readings.
 *
 * @param seed chooses manufacturing spread, temperature, instrument errors and the place of a fault
 * @param fault which kind of fault the unit under test has
 */
public record Scenario(long seed, Fault.Kind fault) {

  /**
   * Returns the random numbers of one purpose, so that a new purpose does not move the others. The
   * seed is scrambled (finaliser of SplitMix64) because {@link Random} starts alike for neighbours.
   */
  public Random random(String purpose) {
    long z = seed * 0x9E3779B97F4A7C15L + purpose.hashCode();
    z = (z ^ (z >>> 30)) * 0xBF58476D1CE4E5B9L;
    z = (z ^ (z >>> 27)) * 0x94D049BB133111EBL;
    return new Random(z ^ (z >>> 31));
  }

  /** Returns a random number between {@code -reach} and {@code +reach}, evenly spread. */
  public static double spread(Random random, double reach) {
    return reach * (2 * random.nextDouble() - 1);
  }
}
