package org.tallywire.conform;

import java.time.Duration;
import java.util.Optional;
import org.tallywire.api.LinkException;

/** Whether the bridge closes the link; on a serial line it is seen only that it begins anew. */
final class Closing {

  private Closing() {}

  /** Tells whether the bridge closed the link in the time, or on a serial line began anew. */
  static boolean isSeen(PlayedInstrument p, Duration within) {
    try {
      return p.await(m -> !p.showsClosing() && m.kind().equals("hello"), within).isPresent();
    } catch (LinkException e) {
      return true;
    }
  }

  /** Waits for it. */
  static void await(PlayedInstrument p, Duration within, String rule, String why) throws Broken {
    if (!isSeen(p, within)) {
      throw notClosed(rule, why, within);
    }
  }

  /** Waits for it; until then the bridge must ask for nothing but the hello, and that once. */
  static void awaitAtHello(PlayedInstrument p, Duration within, String rule, String why)
      throws Broken {
    try {
      boolean first = true;
      Optional<Talk.Heard.Line> request = p.await(Repeats::isRequest, within);
      while (request.isPresent()) {
        if (!request.get().message().kind().equals("hello")) {
          throw new Broken(rule, "%s: it went on with %s".formatted(why, request.get().text()));
        }
        if (!first && !p.showsClosing()) {
          return;
        }
        first = false;
        request = p.await(Repeats::isRequest, within);
      }
    } catch (LinkException e) {
      return;
    }
    throw notClosed(rule, why, within);
  }

  /** Waits for it without another request before it. */
  static void awaitAtOnce(PlayedInstrument p, Duration within, String rule, String why)
      throws Broken {
    try {
      Optional<Talk.Heard.Line> next = p.await(Repeats::isRequest, within);
      if (next.isEmpty()) {
        throw notClosed(rule, why, within);
      }
      if (p.showsClosing() || !next.get().message().kind().equals("hello")) {
        throw new Broken(
            rule,
            "%s: the link is to be closed, and this came: %s".formatted(why, next.get().text()));
      }
    } catch (LinkException e) {
      // closed, as it is to be
    }
  }

  private static Broken notClosed(String rule, String why, Duration within) {
    return new Broken(
        rule,
        "%s: the link is to be closed within %d ms, and was not".formatted(why, within.toMillis()));
  }
}
