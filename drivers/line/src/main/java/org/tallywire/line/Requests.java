package org.tallywire.line;

import java.time.Duration;
import java.util.LinkedHashMap;
import java.util.Map;
import org.tallywire.api.Command;
import org.tallywire.api.FaultCode;
import org.tallywire.api.LinkException;
import org.tallywire.api.SessionHost;

/**
 * The one request that is open, if any: repeated with the same number until answered, given up
 * after three repeats (rules L-16 and L-29).
 */
final class Requests {

  private static final int REPEATS = 3;
  private static final Duration TURNAROUND = Duration.ofMillis(200);

  private final SessionHost host;

  private String kind = "";
  private long number;
  private byte[] bytes = {};
  private Duration limit = Duration.ZERO;
  private int repeats;
  private long due = Long.MAX_VALUE;

  Requests(SessionHost host) {
    this.host = host;
  }

  /** Sends a request in place of the one that may still be open. */
  void ask(String newKind, Map<String, String> fields, int answerLines) throws LinkException {
    kind = newKind;
    number++;
    Map<String, String> all = new LinkedHashMap<>();
    all.put("req", Long.toString(number));
    all.putAll(fields);
    bytes = new LineMessage('>', kind, all).bytes();
    limit = limit(answerLines);
    repeats = 0;
    transmit();
  }

  /** Shortens or lengthens the wait when it is known how many lines the answer has. */
  void expect(int answerLines) {
    limit = limit(answerLines);
    due = host.time().nanos() + limit.toNanos();
  }

  /** Tells whether a line that states a request states the one that is open. */
  boolean concerns(LineMessage line) {
    return due != Long.MAX_VALUE && line.request().orElse(number) == number;
  }

  boolean waitsFor(String expected) {
    return due != Long.MAX_VALUE && kind.equals(expected);
  }

  /** Tells whether a line answers the open request of the given kind. */
  boolean answers(LineMessage line, String expected) {
    return waitsFor(expected) && line.request().orElse(-1) == number;
  }

  /** Tells the same, and if so closes the request. */
  boolean answeredBy(LineMessage line, String expected) {
    boolean answers = answers(line, expected);
    if (answers) {
      due = Long.MAX_VALUE;
    }
    return answers;
  }

  void tick() throws LinkException {
    if (host.time().nanos() - due < 0 || due == Long.MAX_VALUE) {
      return;
    }
    if (repeats == REPEATS) {
      due = Long.MAX_VALUE;
      throw new LinkException(
          FaultCode.LINK_SILENT,
          "no answer to \"%s\", asked %d times, %d ms apart"
              .formatted(kind, REPEATS + 1, limit.toMillis()));
    }
    repeats++;
    transmit();
  }

  long nextTick() {
    return due;
  }

  private Duration limit(int answerLines) {
    return host.lineTime(bytes.length + answerLines * LineFramer.LIMIT)
        .multipliedBy(2)
        .plus(TURNAROUND);
  }

  private void transmit() throws LinkException {
    host.send(new Command(bytes, Command.Effect.QUERY, "ask for " + kind));
    due = host.time().nanos() + limit.toNanos();
  }
}
