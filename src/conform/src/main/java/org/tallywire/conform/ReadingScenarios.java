package org.tallywire.conform;

import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Optional;
import org.tallywire.api.LinkException;
import org.tallywire.line.LineMessage;

/** Readings that are right: repeated, out of order, with strange texts, clocks and values. */
final class ReadingScenarios {

  private ReadingScenarios() {}

  static List<Scenario> all() {
    return List.of(
        Scenario.of(
            "as many readings as were granted, at once",
            "L-19a L-23a L-23c L-35c",
            ReadingScenarios::burst),
        Scenario.of("a reading before any was asked for", "L-18", ReadingScenarios::early),
        Scenario.of(
            "the acknowledgement is lost, the reading repeated",
            "L-25a",
            ReadingScenarios::repeated),
        Scenario.of("a repeat without resent", "L-25a", ReadingScenarios::unmarked),
        Scenario.of("three repeats out of order", "L-25a", ReadingScenarios::disordered),
        Scenario.of(
            "all readings repeated when nothing was acknowledged",
            "L-25a",
            ReadingScenarios::stalled),
        Scenario.of(
            "a repeat with its fields in another order",
            "L-10b L-25a",
            ReadingScenarios::reordered),
        Scenario.of("a repeat with another value", "L-25b L-25a", ReadingScenarios::conflict),
        Scenario.of(
            "a reading that arrives for the first time as a repeat",
            "L-20a",
            p -> firstAsRepeat(p)),
        taken(
            "times before 1971, after 2038, in year 9999 and back again",
            "L-20c",
            List.of(
                "at=1970-01-01T00:00:00Z clock=free status=ok v1=1",
                "at=2038-01-19T03:14:08Z clock=free status=ok v1=1",
                "at=9999-12-31T23:59:59.999999999Z clock=free status=ok v1=1",
                "at=2026-01-15T08:00:00Z clock=synchronised status=ok v1=1",
                "at=2024-02-29T00:00:00.5Z clock=synchronised status=ok v1=1")),
        taken(
            "all four qualities of a clock",
            "L-20b",
            List.of(
                "clock=none status=ok v1=1",
                "clock=relative uptime=0 status=ok v1=1",
                "clock=relative uptime=999999999999999999 status=ok v1=1",
                "at=2026-01-15T08:00:00Z clock=free status=ok v1=1",
                "at=2026-01-15T08:00:00Z clock=synchronised status=ok v1=1")),
        taken(
            "all words of status and of values",
            "L-20d L-22a",
            List.of(
                "clock=none status=not-settled v1=1.50",
                "clock=none status=suspect v1=-0.0",
                "clock=none status=aborted v1=aborted",
                "clock=none status=ok v1=over-range v2=under-range v3=open v4=invalid",
                "clock=none status=ok v1=-99999999999999999999999999999.5",
                "clock=none status=ok v1=0.000000000000000000000000000001")),
        taken(
            "control characters, markup, marks and 64 characters in labels",
            "L-31c L-9b L-21a",
            List.of(
                "clock=none status=ok tap=%00%07%1B[2J%0A%0D v1=1",
                "clock=none status=ok tap=<script>alert(1)</script> v1=1",
                "clock=none status=ok tap=${jndi:ldap://127.0.0.1/x} v1=1",
                "clock=none status=ok tap=%25s%25n%2A%3D%20 v1=1",
                "clock=none status=ok test=%C3%B6%E2%82%AC%F0%9F%94%8C v1=1",
                "clock=none status=ok phase= windings=" + "w".repeat(64) + " v1=1",
                "clock=none status=ok test=../../etc windings='%22;-- v1=1")),
        taken(
            "start marks inside values",
            "L-7a",
            List.of(
                "clock=none status=ok test=a!b<c>d tap=!>< v1=1",
                "clock=none status=ok tap=!reading v1=1",
                "clock=none status=ok tap=>hello v1=1")),
        Scenario.of("a reading of 240 bytes", "L-6a", ReadingScenarios::longest),
        Scenario.of("a digest that is right", "L-33a L-33b", ReadingScenarios::digest),
        Scenario.of("a line of a bridge comes back", "L-3c", ReadingScenarios::echo));
  }

  private static Scenario taken(String name, String rules, List<String> tails) {
    return Scenario.of(name, rules, p -> taken(p, rules, tails));
  }

  private static void taken(PlayedInstrument p, String rules, List<String> tails)
      throws Broken, LinkException {
    p.stream();
    for (int n = 1; n <= tails.size(); n++) {
      p.sayReading(n, "!reading boot=%s seq=%d %s".formatted(p.boot(), n, tails.get(n - 1)));
      p.acknowledged(n, rules.split(" ", -1)[0]);
    }
  }

  private static void burst(PlayedInstrument p) throws Broken, LinkException {
    p.stream();
    if (p.credit() != p.rate().credit()) {
      p.note(
          "L-35a",
          "%d readings were granted at a time, %d would keep this line busy"
              .formatted(p.credit(), p.rate().credit()));
    }
    int last = 0;
    for (int round = 0; round < 2; round++) {
      int granted = p.credit();
      for (int i = 0; i < granted; i++) {
        p.sayReading(++last);
      }
      p.acknowledged(last, "L-23a");
    }
  }

  private static void early(PlayedInstrument p) throws Broken, LinkException {
    p.answer(
        "channels",
        request -> {
          p.sayReading(1);
          p.usual().channels(request);
        });
    p.answerLine("send", "<ok req=REQ first=1 last=1");
    p.request("channels", "L-12a");
    Optional<Talk.Heard.Line> ack = p.await(m -> m.kind().equals("ack"), p.moment());
    if (ack.isPresent()) {
      throw new Broken("L-18", "acknowledged what it must not take: " + ack.get().text());
    }
    p.repeat(1);
    p.acknowledged(1, "L-25a");
  }

  private static void repeated(PlayedInstrument p) throws Broken, LinkException {
    three(p);
    p.fence(3, "L-25a");
    p.fence(3, "L-25a");
    p.sayReading(4);
    p.acknowledged(4, "L-25a");
  }

  private static void unmarked(PlayedInstrument p) throws Broken, LinkException {
    three(p);
    p.say(p.reading(3));
    p.acknowledgedAgain("L-25a", "a repeat without resent");
    p.sayReading(4);
    p.acknowledged(4, "L-25a");
  }

  private static void disordered(PlayedInstrument p) throws Broken, LinkException {
    three(p);
    p.repeat(2);
    p.repeat(1);
    p.repeat(3);
    p.acknowledgedAgain("L-25a", "repeats");
    p.sayReading(4);
    p.acknowledged(4, "L-25a");
  }

  private static void stalled(PlayedInstrument p) throws Broken, LinkException {
    three(p);
    for (int round = 0; round < 2; round++) {
      for (int n = 1; n <= 3; n++) {
        p.repeat(n);
      }
      if (p.await(ReadingScenarios::acknowledgesThree, PlayedInstrument.PATIENCE).isEmpty()) {
        throw new Broken("L-25a", "reading 3 was repeated, and not acknowledged again");
      }
    }
    p.sayReading(4);
    p.acknowledged(4, "L-23c");
  }

  private static boolean acknowledgesThree(LineMessage m) {
    return m.kind().equals("ack") && m.fields().getOrDefault("seq", "").equals("3");
  }

  private static void reordered(PlayedInstrument p) throws Broken, LinkException {
    three(p);
    List<String> words = new ArrayList<>(List.of(p.reading(3).split(" ", -1)));
    Collections.reverse(words.subList(1, words.size()));
    p.say(String.join(" ", words));
    p.acknowledgedAgain("L-10b", "a repeat with its fields in another order");
    p.sayReading(4);
    p.acknowledged(4, "L-10b");
  }

  private static void conflict(PlayedInstrument p) throws Broken, LinkException {
    three(p);
    p.say(p.reading(3).replace("v2=4.31", "v2=9.99") + " resent=1");
    p.acknowledgedAgain("L-25a", "a repeat with another value");
    p.sayReading(4);
    p.acknowledged(4, "L-25b");
  }

  private static void firstAsRepeat(PlayedInstrument p) throws Broken, LinkException {
    p.stream();
    p.keep(1, p.reading(1));
    p.repeat(1);
    p.acknowledged(1, "L-20a");
  }

  private static void longest(PlayedInstrument p) throws Broken, LinkException {
    p.stream();
    String start = "!reading boot=%s seq=1 clock=none status=ok ".formatted(p.boot());
    String end = " v1=1";
    // unknown fields fill it up to 235 bytes, the check value and its asterisk are the last five
    StringBuilder body = new StringBuilder(start + "extra=");
    body.append("x".repeat(235 - body.length() - end.length())).append(end);
    p.sayReading(1, body.toString());
    p.acknowledged(1, "L-6a");
  }

  private static void digest(PlayedInstrument p) throws Broken, LinkException {
    p.state("can", "digest");
    p.stream();
    p.sayReading(1, Wire.digested(p.reading(1)));
    p.acknowledged(1, "L-33a");
    p.fence(1, "L-33b");
    p.keep(2, Wire.digested(p.reading(2)));
    p.repeat(2);
    p.acknowledged(2, "L-33b");
  }

  private static void echo(PlayedInstrument p) throws Broken, LinkException {
    p.stream();
    p.say(">ack boot=%s seq=7 credit=9".formatted(p.boot()));
    p.say(">hello req=7 version=1.1");
    p.say(">beat");
    p.sayReading(1);
    p.acknowledged(1, "L-3c");
  }

  private static void three(PlayedInstrument p) throws Broken, LinkException {
    p.stream();
    for (int n = 1; n <= 3; n++) {
      p.sayReading(n);
      p.acknowledged(n, "L-23a");
    }
  }
}
