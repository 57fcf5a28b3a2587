package org.tallywire.line;

import java.time.Duration;
import java.time.Instant;
import java.util.Locale;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.LinkException;
import org.tallywire.api.SessionHost;

/** Asks the instrument how late it is, and puts the difference into words (rule L-34). */
final class ClockRequest {

  private static final Duration INTERVAL = Duration.ofMinutes(10);
  private static final Duration WORTH_SAYING = Duration.ofSeconds(1);

  private final SessionHost host;
  private final Requests requests;

  private String boot = "";
  private boolean has;
  private boolean asks;
  private long due;
  private long askedAt;
  private String words = "";

  ClockRequest(SessionHost host, Requests requests) {
    this.host = host;
    this.requests = requests;
  }

  /** Begins to ask, where the instrument has a clock: at once, if it was not asked in this life. */
  void begin(Hello hello) {
    if (!hello.boot().equals(boot)) {
      boot = hello.boot();
      has = hello.can().contains("clock");
      due = host.time().nanos();
      words = "";
    }
    asks = has;
  }

  void stop() {
    asks = false;
  }

  /** Takes note that the instrument refuses the request. */
  void refused() {
    has = false;
    asks = false;
  }

  void askIfDue(int readings) throws LinkException {
    if (nextTick() == Long.MAX_VALUE || host.time().nanos() - due < 0) {
      return;
    }
    askedAt = host.time().nanos();
    due = askedAt + INTERVAL.toNanos();
    requests.ask("clock", LineMessage.fieldsOf(), readings);
  }

  long nextTick() {
    return asks && !requests.isOpen() ? due : Long.MAX_VALUE;
  }

  /** Takes the answer; half of the time since the request was first sent is how sure it is. */
  void answer(Frame frame, LineMessage line) throws FrameException {
    InstrumentTime said = InstrumentTime.read(frame, line);
    Duration half = Duration.ofNanos(host.time().nanos() - askedAt).dividedBy(2);
    Instant middle = frame.receivedAt().minus(half);
    words = said.at().map(at -> difference(Duration.between(middle, at), half)).orElse("");
  }

  /** Returns what is to be said about the clock in a status; empty if nothing. */
  String words() {
    return words;
  }

  private static String difference(Duration ahead, Duration half) {
    if (ahead.abs().compareTo(WORTH_SAYING.plus(half)) <= 0) {
      return "";
    }
    return String.format(
        Locale.ROOT,
        "; its clock is %.1f s %s this machine's, ± %.1f s",
        seconds(ahead.abs()),
        ahead.isNegative() ? "behind" : "ahead of",
        Math.ceil(seconds(half) * 10) / 10);
  }

  private static double seconds(Duration duration) {
    return duration.toMillis() / 1000.0;
  }
}
