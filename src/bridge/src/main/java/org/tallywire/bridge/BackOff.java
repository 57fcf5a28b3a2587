package org.tallywire.bridge;

import java.time.Duration;
import java.util.SplittableRandom;

/** The growing pause between attempts to open a link: 0.25 s doubling to 5 s, half of it random. */
final class BackOff {

  private static final long FIRST_MS = 250;
  private static final long LONGEST_MS = 5_000;

  private final SplittableRandom random = new SplittableRandom();
  private long next = FIRST_MS;

  /** Returns the pause before the next attempt. */
  Duration next() {
    long pause = next / 2 + random.nextLong(next / 2 + 1);
    next = Math.min(LONGEST_MS, next * 2);
    return Duration.ofMillis(pause);
  }

  /** Starts again with the shortest pause, after a success. */
  void reset() {
    next = FIRST_MS;
  }
}
