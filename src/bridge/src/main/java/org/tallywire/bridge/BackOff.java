package org.tallywire.bridge;

import java.time.Duration;
import java.util.SplittableRandom;

/**
 * The growing pause between attempts to open a link: 0.25, 0.5, 1, 2 and then always 4 to 5 s, each
 * up to a quarter longer by chance, so that stations that were lost together do not come back
 * together. The shortest is what a port needs between a close and the next opening.
 */
final class BackOff {

  private static final long FIRST_MS = 250;
  private static final long LONGEST_BASE_MS = 4_000;

  private final SplittableRandom random;
  private long next = FIRST_MS;

  BackOff() {
    this(new SplittableRandom());
  }

  BackOff(SplittableRandom random) {
    this.random = random;
  }

  /** Returns the pause before the next attempt. */
  Duration next() {
    long pause = next + random.nextLong(next / 4 + 1);
    next = Math.min(LONGEST_BASE_MS, next * 2);
    return Duration.ofMillis(pause);
  }

  /** Starts again with the shortest pause, after a success. */
  void reset() {
    next = FIRST_MS;
  }
}
