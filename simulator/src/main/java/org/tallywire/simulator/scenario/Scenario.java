package org.tallywire.simulator.scenario;

import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.Random;

/**
 * What decides every reading: the same scenario gives the same readings.
 *
 * @param name in a few words
 * @param about what happens, for people
 * @param seed chooses manufacturing spread, temperature and instrument errors
 * @param startsAt time of day at which bench time begins; nothing for the real time
 * @param plate of the unit
 * @param celsius of the unit at the start, nothing for one chosen by the seed
 * @param tester on the bench
 * @param planted every fault and when it is there
 */
public record Scenario(
    String name,
    String about,
    long seed,
    Optional<Instant> startsAt,
    Plate plate,
    Optional<Double> celsius,
    TesterPlan tester,
    List<Planted> planted) {

  public Scenario {
    planted = List.copyOf(planted);
  }

  /** Returns the same with these faults. */
  public Scenario with(List<Planted> faults) {
    return new Scenario(name, about, seed, startsAt, plate, celsius, tester, faults);
  }

  /** Returns the same with a test set of another language. */
  public Scenario speaking(TesterPlan.Language language) {
    return new Scenario(
        name, about, seed, startsAt, plate, celsius, tester.speaking(language), planted);
  }

  /**
   * Returns the random numbers of one purpose, so that a new purpose does not move the others. The
   * seed is scrambled (finaliser of SplitMix64) because {@link Random} starts alike for neighbours.
   */
  public Random random(String purpose) {
    return random(seed, purpose);
  }

  /** Returns the random numbers of one purpose by a seed. */
  static Random random(long seed, String purpose) {
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
