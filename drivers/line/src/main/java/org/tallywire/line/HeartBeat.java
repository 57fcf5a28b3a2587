package org.tallywire.line;

import java.time.Duration;
import org.tallywire.api.FaultCode;
import org.tallywire.api.LinkException;
import org.tallywire.api.SessionHost;

/**
 * Tells when a sign of life is due, which it is only if nothing else was sent, and notices when the
 * other side gives none (rule L-28).
 */
final class HeartBeat {

  private final SessionHost host;

  private long interval;
  private long lastHeard;
  private long nextBeat;

  HeartBeat(SessionHost host) {
    this.host = host;
  }

  void start(Duration agreed) {
    interval = agreed.toNanos();
    heard();
    sent();
  }

  void stop() {
    interval = 0;
  }

  /** Takes note of an undamaged line of the other side (L-28b). */
  void heard() {
    lastHeard = host.time().nanos();
  }

  /** Takes note of a line of ours; the next is due early enough to be on the line in time. */
  void sent() {
    nextBeat = host.time().nanos() + interval * 9 / 10;
  }

  /** Tells whether a beat is to be sent now; throws if the other side has been silent too long. */
  boolean due() throws LinkException {
    if (interval == 0) {
      return false;
    }
    long now = host.time().nanos();
    if (now - lastHeard > silence()) {
      interval = 0;
      throw new LinkException(
          FaultCode.LINK_SILENT,
          "no sign of life for %d ms".formatted((now - lastHeard) / 1_000_000));
    }
    return now - nextBeat >= 0;
  }

  long nextTick() {
    return interval == 0 ? Long.MAX_VALUE : Math.min(nextBeat, lastHeard + silence() + 1);
  }

  /** Returns how long a silence may last (L-28c). */
  private long silence() {
    return interval * 5 / 2 + host.lineTime(LineFramer.LIMIT).toNanos();
  }
}
