package org.tallywire.api;

import java.time.Instant;

/**
 * Tells the wall time for stamping and the elapsed time for waiting; nothing that is tested reads
 * the system clock. Implementations are safe for use by many threads.
 */
public interface TimeSource {

  /** Returns the wall time; it may jump and must never measure a duration. */
  Instant now();

  /** Returns elapsed nanoseconds from an arbitrary origin; never goes back. */
  long nanos();

  /** Returns the machine's own clocks. */
  static TimeSource system() {
    return new TimeSource() {
      @Override
      public Instant now() {
        return Instant.now();
      }

      @Override
      public long nanos() {
        return System.nanoTime();
      }
    };
  }
}
