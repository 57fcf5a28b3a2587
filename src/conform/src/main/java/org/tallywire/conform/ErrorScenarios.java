package org.tallywire.conform;

import java.time.Duration;
import java.util.List;
import java.util.Optional;
import org.tallywire.api.LinkException;

/** What a bridge does after each class of errors (section 7). */
final class ErrorScenarios {

  private static final Duration CLOSING = Duration.ofSeconds(2);
  private static final String ERROR = "<error req=REQ code=%d text=invented";

  private ErrorScenarios() {}

  static List<Scenario> all() {
    return List.of(
        repeats("hello", 199),
        repeats("hello", 999),
        repeats("channels", 401),
        repeats("send", 501),
        closes("hello", 299),
        closes("channels", 201),
        closes("send", 202),
        closes("hello", 301),
        begins("channels", 399),
        begins("send", 302),
        Scenario.of("error 302 to >send, twice in a row", "L-30a", ErrorScenarios::twice),
        Scenario.of("errors about requests that are not open", "L-30d", ErrorScenarios::notOpen));
  }

  private static Scenario repeats(String kind, int code) {
    return Scenario.of(
        "error %d to >%s: it is repeated when its time is up".formatted(code, kind),
        "L-30a",
        p -> repeated(p, kind, code));
  }

  private static Scenario closes(String kind, int code) {
    return Scenario.of(
        "error %d to >%s: the bridge closes".formatted(code, kind),
        code == 301 ? "L-30a L-12c" : "L-30a",
        p -> closed(p, kind, code));
  }

  private static Scenario begins(String kind, int code) {
    return Scenario.of(
        "error %d to >%s: the bridge begins anew".formatted(code, kind),
        "L-30a",
        p -> anew(p, kind, code));
  }

  /** Answers the first request of a kind with an error, later ones as usual. */
  private static Talk.Heard.Line refuseOnce(PlayedInstrument p, String kind, int code)
      throws Broken, LinkException {
    p.answerLine(kind, ERROR.formatted(code));
    Talk.Heard.Line asked = p.request(kind, "L-12a");
    p.answerAsUsual(kind);
    return asked;
  }

  private static void repeated(PlayedInstrument p, String kind, int code)
      throws Broken, LinkException {
    Talk.Heard.Line asked = refuseOnce(p, kind, code);
    try {
      Repeats.next(p, asked);
    } catch (Broken e) {
      throw new Broken("L-30a", "after error %d: %s".formatted(code, e.getMessage()));
    }
    if (!kind.equals("send")) {
      p.stream();
    }
    p.sayReading(1);
    p.acknowledged(1, "L-30a");
  }

  private static void closed(PlayedInstrument p, String kind, int code)
      throws Broken, LinkException {
    Talk.Heard.Line asked = refuseOnce(p, kind, code);
    Closing.awaitAtOnce(p, CLOSING, "L-30a", "after error %d to %s".formatted(code, asked.text()));
  }

  private static void anew(PlayedInstrument p, String kind, int code) throws Broken, LinkException {
    refuseOnce(p, kind, code);
    Optional<Talk.Heard.Line> next = p.await(Repeats::isRequest, CLOSING);
    if (next.isEmpty() || !next.get().message().kind().equals("hello")) {
      throw new Broken(
          "L-30a",
          "after error %d to >%s the bridge is to begin anew with >hello, and %s"
              .formatted(
                  code, kind, next.map(n -> "said " + n.text()).orElse("did nothing for 2000 ms")));
    }
    p.first("L-30a");
  }

  private static void twice(PlayedInstrument p) throws Broken, NotSeen, LinkException {
    if (!p.showsClosing()) {
      throw new NotSeen("a closing is not seen on a serial line");
    }
    p.answerLine("send", ERROR.formatted(302));
    p.request("send", "L-12a");
    p.request("hello", "L-30a");
    p.request("send", "L-12a");
    Closing.awaitAtOnce(p, CLOSING, "L-30a", "after error 302 to >send, a second time in a row");
  }

  private static void notOpen(PlayedInstrument p) throws Broken, LinkException {
    p.stream();
    p.say("<error req=999999999 code=301");
    p.say("<error req=999999998 code=202 text=old");
    p.say("<error req=999999997 code=302");
    Optional<Talk.Heard.Line> anew = p.await(m -> m.kind().equals("hello"), p.moment());
    if (anew.isPresent()) {
      throw new Broken("L-30d", "began anew after an error about a request that is not open");
    }
    p.sayReading(1);
    p.acknowledged(1, "L-30d");
  }
}
