package org.tallywire.simulator.face;

import java.time.Instant;
import java.util.Optional;
import org.tallywire.simulator.tester.Measurement;

/**
 * What an instrument shows at its connector: a language, without wire, thread or clock.
 *
 * <p>Times are nanoseconds of a clock that only goes up. Used by one thread.
 */
public interface InstrumentFace {

  /**
   * Something to send at once.
   *
   * @param text ASCII
   * @param seq the reading it carries, 0 if none
   */
  record Outgoing(String text, long seq) {}

  /** The instrument is switched on. */
  void powerUp(long now);

  /** Bytes have come; the first {@code length} of the array count. */
  void received(byte[] bytes, int length, long now);

  /** The other side has gone, where the wire can tell. */
  void linkLost();

  /** The test set has measured something. */
  void measured(Measurement measurement, Instant at, long now);

  /** Returns whether the other side has ever asked for readings. */
  boolean asked();

  /** Returns the speed at which it sends and hears now, in baud; 0: its line has one speed. */
  default int baud() {
    return 0;
  }

  /** Returns what to send next, if anything is to be sent now. */
  Optional<Outgoing> next(long now);

  /** Returns after how many nanoseconds {@link #next} may have something though no bytes come. */
  long untilNext(long now);
}
