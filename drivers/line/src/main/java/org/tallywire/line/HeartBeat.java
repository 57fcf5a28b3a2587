package org.tallywire.line;

import java.time.Duration;
import org.tallywire.api.FaultCode;
import org.tallywire.api.LinkException;
import org.tallywire.api.SessionHost;

/** Sends a sign of life at the agreed interval and notices when there is none (rule L-28). */
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
    lastHeard = host.time().nanos();
    nextBeat = lastHeard + interval;
  }

  void stop() {
    interval = 0;
  }

  void heard() {
    lastHeard = host.time().nanos();
  }

  void sent() {
    nextBeat = host.time().nanos() + interval;
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

  private long silence() {
    return interval * 5 / 2;
  }
}
