package org.tallywire.bridge;

import java.util.Optional;

/**
 * Decides which of many like events get a log line: the first ten, then every hundredth. Safe for
 * use by many threads.
 */
final class Throttle {

  private static final int ALL_OF_THE_FIRST = 10;
  private static final int THEN_EACH = 100;

  private long count;

  /**
   * Counts an event; returns nothing if it gets no line, else what its line is to say behind the
   * event itself, which may be nothing.
   */
  synchronized Optional<String> next() {
    count++;
    if (count < ALL_OF_THE_FIRST) {
      return Optional.of("");
    }
    if (count == ALL_OF_THE_FIRST) {
      return Optional.of(
          " (the %dth such line; from now on only each %dth is logged)"
              .formatted(count, THEN_EACH));
    }
    return count % THEN_EACH == 0
        ? Optional.of(" (the %dth such line; those since the last are not logged)".formatted(count))
        : Optional.empty();
  }
}
