package org.tallywire.conform;

import java.time.Duration;
import java.util.Optional;
import java.util.concurrent.locks.LockSupport;
import org.tallywire.api.FaultCode;
import org.tallywire.api.LinkException;
import org.tallywire.line.LineMessage;

/** Opens a link again and greets, as often as a bridge would. */
final class Reopening {

  private static final int ATTEMPTS = 10;
  private static final int HELLOS = 8;
  private static final Duration PAUSE = Duration.ofMillis(200);

  private Reopening() {}

  /** Closes and opens; an instrument that takes one client at a time may need a moment. */
  static void of(Dialogue with) throws Broken, LinkException {
    for (int attempt = 1; true; attempt++) {
      try {
        with.open();
        greet(with);
        return;
      } catch (LinkException e) {
        if (attempt == ATTEMPTS) {
          throw new LinkException(
              FaultCode.LINK_LOST, "it could not be opened again: %s".formatted(e.getMessage()), e);
        }
        LockSupport.parkNanos(PAUSE.toNanos());
      }
    }
  }

  /** L-12a: repeats the hello until it is answered. */
  static void greet(Dialogue with) throws Broken, LinkException {
    LineMessage hello = with.helloLine();
    Optional<Talk.Heard.Line> answer = Optional.empty();
    Duration limit = with.rate().limit(hello.bytes().length, 0);
    for (int i = 1; i <= HELLOS && answer.isEmpty(); i++) {
      with.say(hello);
      answer =
          with.await(
              line -> Dialogue.answers(line, hello), i < HELLOS ? limit : with.rate().late(limit));
    }
    if (answer.isEmpty()) {
      throw new Broken(
          "L-12b",
          "none of %d hellos, %d ms apart, was answered; %s"
              .formatted(HELLOS, limit.toMillis(), with.witness().heardSoFar()));
    }
    with.take(answer.get());
    // an answer to an earlier one may yet come
    with.hello();
  }
}
