package org.tallywire.line;

import java.time.Duration;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.concurrent.TimeUnit;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.LinkException;
import org.tallywire.api.SessionHost;

/**
 * The one request that is open, if any: repeated with the same number until answered, given up
 * after three repeats (rules L-16 and L-29).
 */
final class Requests {

  private static final int REPEATS = 3;
  private static final String OPTIONAL = "clock";
  private static final long LAST_NUMBER = 999_999_999;
  private static final Duration TURNAROUND = Duration.ofMillis(200);

  private final SessionHost host;
  private final Outgoing outgoing;

  private String kind = "";

  /** Begins elsewhere on each link, or an answer on its way from the last might count (L-16e). */
  private long number;

  private byte[] bytes = {};
  private Duration limit = Duration.ZERO;
  private int repeats;
  private long due = Long.MAX_VALUE;

  /** What was wrong with the last answer to the open request; empty if none came. */
  private String trouble = "";

  Requests(SessionHost host, Outgoing outgoing) {
    this.host = host;
    this.outgoing = outgoing;
    this.number = Math.floorMod(TimeUnit.NANOSECONDS.toMillis(host.time().nanos()), LAST_NUMBER);
  }

  /**
   * Sends a request in place of the one that may still be open (L-16c).
   *
   * @param readings how many readings may be on their way before the answer
   */
  void ask(String newKind, Map<String, String> fields, int readings) throws LinkException {
    kind = newKind;
    number = number % LAST_NUMBER + 1;
    Map<String, String> all = new LinkedHashMap<>();
    all.put("req", Long.toString(number));
    all.putAll(fields);
    bytes = new LineMessage('>', kind, all).bytes();
    int length = bytes.length - 1; // without the terminator
    int most = length + (1 + readings) * LineFramer.LIMIT;
    limit = host.lineTime(most).multipliedBy(2).plus(TURNAROUND); // L-29a
    repeats = 0;
    trouble = "";
    transmit();
  }

  /** Starts the time anew: a line of the answer came, and is not the last (L-29b). */
  void answerGoesOn() {
    due = host.time().nanos() + limit.toNanos();
  }

  boolean isOpen() {
    return due != Long.MAX_VALUE;
  }

  boolean waitsFor(String expected) {
    return isOpen() && kind.equals(expected);
  }

  /** Returns the kind of the last request. */
  String kind() {
    return kind;
  }

  /** Tells whether an answer, which must say to which request, answers the open one. */
  boolean concerns(Frame frame, LineMessage line) throws FrameException {
    return line.whole(frame, "req", 0, LAST_NUMBER) == number && isOpen();
  }

  /** Tells whether a line answers the open request and that is of the given kind. */
  boolean answers(Frame frame, LineMessage line, String expected) throws FrameException {
    return concerns(frame, line) && kind.equals(expected);
  }

  /** Takes note that a line was no good answer to the request it states. */
  void answeredBadly(LineMessage line, String words) {
    if (line.request().orElse(-1) == number) {
      trouble = words;
    }
  }

  void close() {
    due = Long.MAX_VALUE;
  }

  /**
   * Repeats the open request if its time is up; throws if it was repeated often enough (L-29d).
   *
   * @return whether a request that only got bad answers was given up, since it can be done without
   */
  boolean tick() throws LinkException {
    if (!isOpen() || host.time().nanos() - due < 0) {
      return false;
    }
    if (repeats < REPEATS) {
      repeats++;
      transmit();
      return false;
    }
    close();
    if (kind.equals(OPTIONAL) && !trouble.isEmpty()) {
      return true;
    }
    if (trouble.isEmpty()) {
      throw new LinkException(
          FaultCode.LINK_SILENT,
          "no answer to \"%s\", asked %d times, %d ms apart"
              .formatted(kind, REPEATS + 1, limit.toMillis()));
    }
    throw new LinkException(
        FaultCode.LINK_REFUSED,
        "no good answer to \"%s\", asked %d times: %s".formatted(kind, REPEATS + 1, trouble));
  }

  long nextTick() {
    return due;
  }

  private void transmit() throws LinkException {
    outgoing.send(bytes, "ask for " + kind);
    due = host.time().nanos() + limit.toNanos();
  }
}
