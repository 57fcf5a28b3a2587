package org.tallywire.conform;

import java.time.Duration;
import java.util.Optional;
import java.util.function.Predicate;
import org.tallywire.api.FaultCode;
import org.tallywire.api.LinkException;
import org.tallywire.line.LineMessage;

/** One end of a conversation: waits for lines while its own beats go on. Used by one thread. */
abstract class Conversation {

  /** How long after its time is up a wait still looks at what has arrived already. */
  private static final long GRACE = 1_000_000_000L;

  /** The longest that one look at the link lasts, so that a run can be stopped. */
  private static final long SLICE = 250_000_000L;

  /** Returns the talk on the present link. */
  abstract Talk talk() throws LinkException;

  abstract long now();

  /** Returns the nanoseconds until the next beat is due; 0 or less: now. */
  abstract long untilBeat();

  abstract void sayBeat() throws LinkException;

  /** Takes note of what was heard, before anybody else looks at it. */
  abstract void heard(Talk.Heard heard);

  /**
   * Waits for the next thing to hear; empty if the time ran out.
   *
   * @throws LinkException if the other side closed the link
   */
  Optional<Talk.Heard> next(Duration within) throws LinkException {
    long deadline = now() + within.toNanos();
    Optional<Talk.Heard> heard;
    do {
      if (untilBeat() <= 0) {
        sayBeat();
      }
      long wait = Math.min(SLICE, Math.min(deadline - now(), untilBeat()));
      heard = talk().next(Duration.ofNanos(Math.max(0, wait)));
    } while (heard.isEmpty() && now() < deadline);
    heard.ifPresent(this::heard);
    if (heard.isPresent() && heard.get() instanceof Talk.Heard.Closed closed) {
      throw new LinkException(FaultCode.LINK_LOST, closed.why());
    }
    return heard;
  }

  /** Waits for a line that is wanted, passing over others; empty if the time ran out. */
  Optional<Talk.Heard.Line> await(Predicate<LineMessage> wanted, Duration within)
      throws LinkException {
    long deadline = now() + within.toNanos();
    Optional<Talk.Heard> heard = next(within);
    while (heard.isPresent()) {
      if (heard.get() instanceof Talk.Heard.Line line && wanted.test(line.message())) {
        return Optional.of(line);
      }
      if (now() - deadline > GRACE) {
        return Optional.empty(); // it never stops talking
      }
      heard = next(Duration.ofNanos(Math.max(0, deadline - now())));
    }
    return Optional.empty();
  }

  /** Goes on for the whole time; what comes is noted and answered as usual. */
  void listen(Duration whole) throws LinkException {
    await(line -> false, whole);
  }
}
