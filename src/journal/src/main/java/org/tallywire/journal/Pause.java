package org.tallywire.journal;

import java.time.Duration;
import org.tallywire.api.TimeSource;

/**
 * Keeps the writer from doing nothing but opening the file after errors, which checks all its
 * pages: an opening is followed by a pause as long as it took, at most a minute, in which there is
 * no other. Used by the writer's thread.
 */
final class Pause {

  private static final long LONGEST = Duration.ofMinutes(1).toNanos();

  private final TimeSource time;
  private long began;
  private long ended;
  private boolean any;

  Pause(TimeSource time) {
    this.time = time;
  }

  /** Notes that an opening begins. */
  void begin() {
    began = time.nanos();
  }

  /** Notes that it ended, whatever came of it. */
  void end() {
    ended = time.nanos();
    any = true;
  }

  /** Returns how long there should be no opening yet; zero or less if there may be one. */
  Duration left() {
    long length = Math.min(LONGEST, ended - began);
    return any ? Duration.ofNanos(ended + length - time.nanos()) : Duration.ZERO;
  }
}
