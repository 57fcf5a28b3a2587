package org.tallywire.conform;

import java.time.Duration;
import java.util.Optional;
import org.tallywire.api.FaultCode;
import org.tallywire.api.LinkException;

/** How a scenario begins: with the first {@code >hello} of a link, or one after {@code !start}. */
final class Meeting {

  private static final long MOST_LINES_BEFORE_START = 10_000;

  private final PlayedInstrument p;
  private final BridgeWatch watch;

  Meeting(PlayedInstrument p, BridgeWatch watch) {
    this.p = p;
    this.watch = watch;
  }

  /** Waits for the hello. */
  Talk.Heard hello(boolean byStart) throws Broken, LinkException {
    if (byStart) {
      passOver();
      sayStart();
    } else {
      watch.connected();
    }
    long deadline = p.now() + PlayedInstrument.PATIENCE.toNanos();
    Duration wait = byStart ? p.moment().multipliedBy(2) : PlayedInstrument.PATIENCE;
    while (p.now() < deadline) {
      Optional<Talk.Heard> heard = p.talk().next(wait);
      heard.filter(h -> !byStart || isHello(h)).ifPresent(watch::heard);
      if (heard.isPresent() && isHello(heard.get())) {
        return heard.get();
      }
      if (heard.isPresent() && heard.get() instanceof Talk.Heard.Closed closed) {
        throw new LinkException(FaultCode.LINK_LOST, closed.why());
      }
      if (heard.isEmpty() && byStart) {
        sayStart(); // a sign of life, and it may not have arrived
      }
    }
    throw new Broken(
        byStart ? "L-15b" : "L-12a",
        "no >hello within %d ms of %s"
            .formatted(
                PlayedInstrument.PATIENCE.toMillis(),
                byStart ? "!start" : "the opening of the link"));
  }

  /** Passes over what was said to the instrument of the scenario before. */
  private void passOver() {
    for (long i = 0; i < MOST_LINES_BEFORE_START; i++) {
      if (p.talk().next(Duration.ZERO).isEmpty()) {
        return;
      }
    }
  }

  private void sayStart() throws LinkException {
    p.talk().sayBytes(Wire.line("!start boot=" + p.boot()));
  }

  private static boolean isHello(Talk.Heard heard) {
    return heard instanceof Talk.Heard.Line line && line.message().kind().equals("hello");
  }
}
