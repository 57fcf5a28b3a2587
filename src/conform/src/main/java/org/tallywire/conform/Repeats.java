package org.tallywire.conform;

import java.time.Duration;
import java.util.Optional;
import java.util.Set;
import org.tallywire.api.LinkException;
import org.tallywire.line.LineMessage;

/** What a bridge does about a request that is not answered (L-16, L-29). */
final class Repeats {

  private static final Set<String> REQUESTS = Set.of("hello", "channels", "send", "clock");

  private static final Duration LONGEST_PAUSE = Duration.ofSeconds(1);

  private Repeats() {}

  /** Leaves a request of a kind without an answer and waits for its repeat, which is answered. */
  static void once(PlayedInstrument p, String kind) throws Broken, LinkException {
    p.drop(kind, 1);
    Talk.Heard.Line asked = p.request(kind, "L-12a");
    next(p, asked);
  }

  /** Waits for the repeat of a request that was not answered. */
  static Talk.Heard.Line next(PlayedInstrument p, Talk.Heard.Line asked) throws Broken {
    try {
      return repeated(p, asked);
    } catch (LinkException e) {
      throw new Broken(
          "L-29a",
          ">%s was not answered and not repeated, and the link was closed"
              .formatted(asked.message().kind()));
    }
  }

  private static Talk.Heard.Line repeated(PlayedInstrument p, Talk.Heard.Line asked)
      throws Broken, LinkException {
    long from = asked.at();
    Duration limit = p.rate().limit(asked.text().length(), 0);
    Duration most = p.rate().limit(asked.text().length(), readings(p));
    Duration late = p.rate().late(most);
    Optional<Talk.Heard.Line> again = p.await(Repeats::isRequest, late.plusSeconds(1));
    if (again.isEmpty() || again.get().at() - from > late.toNanos()) {
      throw new Broken(
          "L-29a",
          ">%s was not answered and not repeated within %d ms, where %d ms is due"
              .formatted(asked.message().kind(), late.toMillis(), most.toMillis()));
    }
    same(asked, again.get());
    Duration after = Duration.ofNanos(again.get().at() - from);
    if (after.compareTo(p.rate().early(limit)) < 0) {
      throw new Broken(
          "L-29a",
          ">%s was repeated after %d ms, where %d ms is due"
              .formatted(asked.message().kind(), after.toMillis(), limit.toMillis()));
    }
    return again.get();
  }

  /** Sees that a request that is never answered is asked four times in all, and closed after. */
  static void givenUp(PlayedInstrument p, String kind) throws Broken, LinkException {
    Talk.Heard.Line asked = next(p, p.request(kind, "L-12a"));
    for (int repeat = 2; repeat <= 3; repeat++) {
      try {
        asked = repeated(p, asked);
      } catch (LinkException e) {
        throw new Broken(
            "L-29d",
            "the link was closed after %d repeats of >%s, 3 are due".formatted(repeat - 1, kind));
      }
    }
    try {
      Duration limit = p.rate().late(p.rate().limit(0, readings(p)));
      Optional<Talk.Heard.Line> more = p.await(Repeats::isRequest, limit.plus(LONGEST_PAUSE));
      String last = asked.text();
      if (more.filter(line -> !p.showsClosing() && isAnotherHello(line, last)).isPresent()) {
        return; // opened again, as far as is seen on a serial line
      }
      throw new Broken(
          "L-29d",
          more.map(line -> "asked once more after three repeats: " + line.text())
              .orElse("three repeats were not answered, and the link was not closed"));
    } catch (LinkException e) {
      // closed, as it is to be
    }
  }

  private static boolean isAnotherHello(Talk.Heard.Line line, String last) {
    return line.message().kind().equals("hello") && !line.text().equals(last);
  }

  static boolean isRequest(LineMessage message) {
    return REQUESTS.contains(message.kind());
  }

  private static void same(Talk.Heard.Line asked, Talk.Heard.Line again) throws Broken {
    if (again.text().equals(asked.text())) {
      return;
    }
    String rule = again.message().kind().equals(asked.message().kind()) ? "L-16d" : "L-16c";
    throw new Broken(
        rule,
        "%s was not answered; it is to be repeated as it was, and this came: %s"
            .formatted(asked.text(), again.text()));
  }

  /** Returns how many readings may be on their way, for all the bridge knows. */
  private static int readings(PlayedInstrument p) {
    return Math.max(p.credit(), p.rate().credit());
  }
}
