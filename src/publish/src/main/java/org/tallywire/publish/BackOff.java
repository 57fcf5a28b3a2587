package org.tallywire.publish;

import java.time.Duration;
import java.util.random.RandomGenerator;

/** Pauses that double up to a limit, each cut by chance to between half and all of it. */
final class BackOff {

  private final Pace pace;
  private final RandomGenerator random;
  private Duration next;

  BackOff(Pace pace, RandomGenerator random) {
    this.pace = pace;
    this.random = random;
    this.next = pace.firstPause();
  }

  Duration next() {
    Duration whole = next;
    Duration doubled = whole.multipliedBy(2);
    next = doubled.compareTo(pace.longestPause()) < 0 ? doubled : pace.longestPause();
    return cut(whole);
  }

  /** Returns the first pause, and leaves the next one as it is. */
  Duration shortest() {
    return cut(pace.firstPause());
  }

  private Duration cut(Duration whole) {
    // many bridges that lost one broker must not come back in step
    return Duration.ofNanos((long) (whole.toNanos() * (0.5 + random.nextDouble() / 2)));
  }

  void reset() {
    next = pace.firstPause();
  }
}
