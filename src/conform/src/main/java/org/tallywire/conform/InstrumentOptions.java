package org.tallywire.conform;

import java.time.Duration;
import java.util.List;

/**
 * How an instrument is examined.
 *
 * @param baud bits per second, 0 over TCP
 * @param readings how many readings to wait for, 1 to 64
 * @param patience how long to wait for them, and for a restart
 * @param restart whether to ask the person to switch the instrument off and on
 * @param seed decides the garbage
 * @param only words of which one stands in the name of a check to play, or is a rule of it; none:
 *     all
 */
public record InstrumentOptions(
    int baud, int readings, Duration patience, boolean restart, long seed, List<String> only) {

  /** Keeps a copy. */
  public InstrumentOptions {
    only = List.copyOf(only);
  }
}
