package org.tallywire.conform;

import java.time.Duration;
import java.util.List;
import org.tallywire.api.LinkException;

/**
 * Readings that arrive undamaged and break a rule: the bridge does not stop at them, or the
 * instrument would send them for ever.
 */
final class UnreadableScenarios {

  private static final Duration LIMIT = Duration.ofSeconds(6);

  private UnreadableScenarios() {}

  static List<Scenario> all() {
    return List.of(
        unreadable(
            "numbers in another form",
            "L-22a",
            "clock=none status=ok v1=NaN",
            "clock=none status=ok v1=1e400",
            "clock=none status=ok v1=0x10",
            "clock=none status=ok v1=1,5",
            "clock=none status=ok v1=--1",
            "clock=none status=ok v1=+1",
            "clock=none status=ok v1=01",
            "clock=none status=ok v1=.5",
            "clock=none status=ok v1=5.",
            "clock=none status=ok v1=",
            "clock=none status=ok v1=%20",
            "clock=none status=ok v1=" + "1".repeat(33)),
        unreadable(
            "words that are not in the list",
            "L-32b",
            "clock=none status=fine v1=1",
            "clock=none status=OK v1=1",
            "clock=atomic status=ok v1=1",
            "clock=none status=ok v1=overload",
            "clock=none status= v1=1"),
        unreadable(
            "fields missing",
            "L-20b",
            "status=ok v1=1",
            "clock=none v1=1",
            "clock=free status=ok v1=1",
            "clock=relative status=ok v1=1"),
        unreadable("a reading without values", "L-22c", "clock=none status=ok tap=1"),
        unreadable(
            "values of channels that were not listed",
            "L-22d",
            "clock=none status=ok v5=1",
            "clock=none status=ok v1=1 v99=1"),
        unreadable(
            "times in another form",
            "L-20c",
            "at=2026-01-15T08:00:00 clock=free status=ok v1=1",
            "at=2026-01-15T08:00:00+01:00 clock=free status=ok v1=1",
            "at=2026-06-30T23:59:60Z clock=free status=ok v1=1",
            "at=2026-13-01T00:00:00Z clock=free status=ok v1=1",
            "at=2026-02-30T00:00:00Z clock=free status=ok v1=1",
            "at=2026-01-15T08:00:00.1234567890Z clock=free status=ok v1=1",
            "at=yesterday clock=synchronised status=ok v1=1",
            "uptime=-5 clock=relative status=ok v1=1"),
        ungrammatical(
            "an undefined escape in a reading", "L-9b", "clock=none status=ok tap=%zz v1=1"),
        ungrammatical(
            "a lower-case escape in a reading", "L-9b", "clock=none status=ok tap=%c3%b6 v1=1"),
        ungrammatical(
            "an over-long form of UTF-8 in a reading",
            "L-9b",
            "clock=none status=ok tap=%C0%80 v1=1"),
        ungrammatical(
            "a surrogate in a reading", "L-9b", "clock=none status=ok tap=%ED%A0%80 v1=1"),
        ungrammatical("a key twice in a reading", "L-10a", "clock=none status=ok v1=1 v1=2"),
        ungrammatical(
            "an equals sign inside a value", "L-10c", "clock=none status=ok tap=a=b v1=1"),
        ungrammatical("two spaces between fields", "L-10c", "clock=none  status=ok v1=1"),
        Scenario.of("a sequence number of 19 digits", "L-10c", UnreadableScenarios::tooLarge),
        Scenario.of(
            "a declared loss that runs backwards", "L-10c", UnreadableScenarios::backwards));
  }

  /** Each is acknowledged at once, and what follows is taken. */
  private static Scenario unreadable(String name, String rule, String... tails) {
    return Scenario.of("unreadable: " + name, "L-27d " + rule, p -> unreadable(p, tails));
  }

  private static void unreadable(PlayedInstrument p, String... tails) throws Broken, LinkException {
    p.stream();
    int number = 0;
    for (String tail : tails) {
      number++;
      p.sayReading(number, "!reading boot=%s seq=%d %s".formatted(p.boot(), number, tail));
      try {
        p.acknowledged(number, "L-27d");
      } catch (Broken e) {
        throw new Broken("L-27d", "a reading with \"%s\": %s".formatted(tail, e.getMessage()));
      }
    }
    number++;
    p.sayReading(number);
    p.acknowledged(number, "L-27d");
  }

  /**
   * A line of which not even the number can be read for certain: taken for unreadable, or ignored
   * and then missed; in the end the bridge is past it.
   */
  private static Scenario ungrammatical(String name, String rule, String tail) {
    return Scenario.of(name, rule + " L-27c", p -> ungrammatical(p, rule, tail));
  }

  private static void ungrammatical(PlayedInstrument p, String rule, String tail)
      throws Broken, LinkException {
    p.first("L-23a");
    p.sayReading(2, "!reading boot=%s seq=2 %s".formatted(p.boot(), tail));
    p.sayReading(3);
    long until = p.now() + LIMIT.toNanos();
    while (p.acknowledged() < 3) {
      if (p.await(m -> m.kind().equals("ack"), Duration.ofNanos(Math.max(0, until - p.now())))
          .isEmpty()) {
        throw new Broken(
            "L-27c",
            "did not get past a line that breaks %s: reading 3 behind it was not acknowledged"
                .formatted(rule));
      }
    }
  }

  private static void tooLarge(PlayedInstrument p) throws Broken, LinkException {
    p.first("L-23a");
    p.say(p.reading(1).replace("seq=1", "seq=9223372036854775808"));
    p.say(p.reading(1).replace("seq=1", "seq=0"));
    p.say(p.reading(1).replace("seq=1", "seq=-1"));
    p.sayReading(2);
    p.acknowledged(2, "L-10c");
  }

  private static void backwards(PlayedInstrument p) throws Broken, LinkException {
    p.first("L-23a");
    p.say("!lost boot=%s from=9 to=2".formatted(p.boot()));
    p.fence(1, "L-10c");
    p.sayReading(2);
    p.acknowledged(2, "L-10c");
  }
}
