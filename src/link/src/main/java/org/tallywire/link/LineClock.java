package org.tallywire.link;

import java.time.Duration;
import org.tallywire.api.SerialSettings;

/**
 * Knows when the bytes that were written to a line have gone out of its far end: buffers on the way
 * take them at once, the line takes its time. Used by one thread.
 */
final class LineClock {

  private SerialSettings settings;
  private long outAt = System.nanoTime();

  LineClock(SerialSettings settings) {
    this.settings = settings;
  }

  /** Takes note that so many bytes were given to the line now. */
  void written(int bytes) {
    long now = System.nanoTime();
    outAt = (outAt - now > 0 ? outAt : now) + settings.time(bytes).toNanos();
  }

  /** Returns how long the line is still busy with them; zero if it is free. */
  Duration busy() {
    return Duration.ofNanos(Math.max(0, outAt - System.nanoTime()));
  }

  /** Takes note of another speed. */
  void speed(int baud) {
    settings = settings.withBaud(baud);
  }
}
