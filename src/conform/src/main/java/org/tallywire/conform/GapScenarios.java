package org.tallywire.conform;

import java.util.List;
import java.util.Optional;
import org.tallywire.api.LinkException;

/** Numbers that are skipped, lost, no longer there, and where a bridge goes on after a new link. */
final class GapScenarios {

  private static final int MOST_QUESTIONS = 5;

  private static final int BEATS = 4;

  private GapScenarios() {}

  static List<Scenario> all() {
    return List.of(
        Scenario.of(
            "a reading is skipped and comes when asked for", "L-27a", GapScenarios::skipped),
        Scenario.of("a reading is skipped and does not come", "L-27c L-27a", GapScenarios::missing),
        Scenario.of("the first reading is skipped", "L-27a", GapScenarios::firstSkipped),
        Scenario.of(
            "a reading is damaged each time it is sent",
            "L-27b L-27c L-8a",
            GapScenarios::alwaysDamaged),
        Scenario.of(
            "beats tell of a reading that did not come", "L-27e", GapScenarios::toldByBeats),
        Scenario.of("beats tell of a reading that never comes", "L-27e", GapScenarios::toldInVain),
        Scenario.of("readings are declared lost", "L-26b", p -> lost(p, 6)),
        Scenario.of(
            "a declared loss is repeated and has grown", "L-26c L-26b", GapScenarios::grown),
        Scenario.of(
            "a declared loss begins below what is acknowledged", "L-26c", GapScenarios::below),
        Scenario.of("a million readings are declared lost", "L-26b", p -> lost(p, 1_000_000)),
        Scenario.of(
            "the store no longer has what is asked for: first is beyond after + 1",
            "L-19d",
            GapScenarios::firstBeyond),
        Scenario.of(
            "a new link under the same boot id: it goes on after the last acknowledged",
            "L-19a L-23a",
            GapScenarios::newLink),
        Scenario.of(
            "a new link after a reading that arrived damaged: it is asked for",
            "L-19a L-27a",
            GapScenarios::newLinkAfterDamage),
        Scenario.of(
            "a new link with repeats of what is on disk",
            "L-25a",
            GapScenarios::newLinkWithRepeats),
        Scenario.of(
            "a new link after readings that were declared lost",
            "L-19a L-26b",
            GapScenarios::newLinkAfterLoss));
  }

  private static void skipped(PlayedInstrument p) throws Broken, LinkException {
    p.first("L-23a");
    p.keep(2, p.reading(2));
    p.sayReading(3);
    askedAgain(p, 1);
    p.acknowledged(3, "L-27a");
  }

  private static void missing(PlayedInstrument p) throws Broken, LinkException {
    p.first("L-23a");
    p.sayReading(3);
    askedAgain(p, 1);
    p.acknowledged(3, "L-27c");
    p.sayReading(4);
    p.acknowledged(4, "L-27c");
  }

  private static void firstSkipped(PlayedInstrument p) throws Broken, LinkException {
    p.stream();
    p.keep(1, p.reading(1));
    p.sayReading(2);
    askedAgain(p, 0);
    p.acknowledged(2, "L-27a");
  }

  /** A reading that was lost whole, and none behind it. */
  private static void toldByBeats(PlayedInstrument p) throws Broken, LinkException {
    p.first("L-23a");
    p.keep(2, p.reading(2));
    sayBeats(p);
    Optional<Talk.Heard.Line> send =
        p.await(m -> m.kind().equals("send"), PlayedInstrument.PATIENCE);
    if (send.isEmpty()) {
      throw new Broken(
          "L-27e",
          "beats told of reading 2 for %d ms, and the bridge did not ask for it"
              .formatted(PlayedInstrument.PATIENCE.toMillis()));
    }
    if (UsualAnswers.after(send.get().message()) != 1) {
      throw new Broken("L-27e", "beats told of reading 2, 1 is on disk: " + send.get().text());
    }
    p.acknowledged(2, "L-27e");
  }

  private static void toldInVain(PlayedInstrument p) throws Broken, LinkException {
    p.first("L-23a");
    p.keep(2, p.reading(2));
    p.answerLine("send", "<ok req=REQ first=2 last=2");
    int asked = 0;
    try {
      sayBeats(p);
      Optional<Talk.Heard.Line> next = p.await(Repeats::isRequest, PlayedInstrument.PATIENCE);
      while (asked <= MOST_QUESTIONS
          && next.isPresent()
          && next.get().message().kind().equals("send")) {
        asked++;
        sayBeats(p);
        next = p.await(Repeats::isRequest, PlayedInstrument.PATIENCE);
      }
      if (asked == MOST_QUESTIONS && next.isPresent() && !p.showsClosing()) {
        return; // opened again, as far as is seen on a serial line
      }
    } catch (LinkException e) {
      if (asked == MOST_QUESTIONS) {
        return;
      }
    }
    throw new Broken(
        "L-27e",
        "asked %d times in vain for what beats tell of; after five the link is to be closed"
            .formatted(asked));
  }

  private static void sayBeats(PlayedInstrument p) throws LinkException {
    for (int beat = 0; beat < BEATS; beat++) {
      p.sayBeat();
    }
  }

  /** Waits for the question, before which nothing beyond the gap is acknowledged. */
  private static void askedAgain(PlayedInstrument p, long after) throws Broken, LinkException {
    Optional<Talk.Heard.Line> next =
        p.await(
            m -> m.kind().equals("send") || (m.kind().equals("ack") && p.acknowledged() > after),
            PlayedInstrument.PATIENCE);
    if (next.isEmpty() || !next.get().message().kind().equals("send")) {
      throw new Broken(
          "L-27a",
          "reading %d was skipped; >send after=%d is due, and %s"
              .formatted(
                  after + 1,
                  after,
                  next.map(line -> "this came: " + line.text()).orElse("it did not come")));
    }
    if (UsualAnswers.after(next.get().message()) != after) {
      throw new Broken(
          "L-27a", "reading %d was the last good one: %s".formatted(after, next.get().text()));
    }
  }

  private static void alwaysDamaged(PlayedInstrument p) throws Broken, LinkException {
    p.first("L-23a");
    int[] questions = {0};
    p.answer(
        "send",
        request -> {
          questions[0]++;
          p.say("<ok req=%s first=2 last=3".formatted(UsualAnswers.req(request)));
          damagedThenNext(p);
        });
    damagedThenNext(p);
    Optional<Talk.Heard.Line> end =
        p.await(
            m -> p.acknowledged() > 1 || questions[0] > MOST_QUESTIONS,
            PlayedInstrument.PATIENCE.multipliedBy(2));
    if (questions[0] > MOST_QUESTIONS) {
      throw new Broken("L-27b", "asked more than five times again for a reading");
    }
    if (end.isEmpty()) {
      throw new Broken(
          "L-27c",
          "asked %d times for reading 2 and did not go on with reading 3".formatted(questions[0]));
    }
    if (questions[0] < 2) {
      throw new Broken(
          "L-27b",
          "asked %d times for a reading, though lines were damaged since".formatted(questions[0]));
    }
  }

  private static void damagedThenNext(PlayedInstrument p) throws LinkException {
    p.sayBytes(Wire.flipped(Wire.line(p.reading(2)), 30));
    p.sayReading(3);
  }

  private static void lost(PlayedInstrument p, long to) throws Broken, LinkException {
    p.first("L-23a");
    p.sayLost(2, to);
    p.acknowledged(to, "L-26b");
    p.sayReading(to + 1);
    p.acknowledged(to + 1, "L-26b");
  }

  private static void grown(PlayedInstrument p) throws Broken, LinkException {
    p.stream();
    p.sayLost(1, 5);
    p.acknowledged(5, "L-26b");
    p.sayLost(1, 8);
    p.acknowledged(8, "L-26c");
    p.sayLost(1, 8);
    p.acknowledgedAgain("L-26b", "a repeated !lost");
    p.sayReading(9);
    p.acknowledged(9, "L-26c");
  }

  private static void below(PlayedInstrument p) throws Broken, LinkException {
    p.first("L-23a");
    p.sayReading(2);
    p.acknowledged(2, "L-23a");
    p.sayLost(2, 6);
    p.acknowledged(6, "L-26c");
  }

  private static void firstBeyond(PlayedInstrument p) throws Broken, LinkException {
    p.keep(7, p.reading(7));
    p.keep(8, p.reading(8));
    p.answer("send", request -> p.usual().send(request, 7));
    p.stream();
    p.acknowledged(8, "L-19d");
  }

  private static void newLink(PlayedInstrument p) throws Broken, LinkException {
    p.first("L-23a");
    p.sayReading(2);
    p.sayReading(3);
    p.acknowledged(3, "L-23a");
    p.reconnect();
    goesOnAfter(p, 3, 3);
    p.sayReading(4);
    p.acknowledged(4, "L-19a");
  }

  private static void newLinkAfterDamage(PlayedInstrument p) throws Broken, LinkException {
    p.first("L-23a");
    p.keep(2, p.reading(2));
    p.sayBytes(Wire.flipped(Wire.line(p.reading(2)), 30));
    p.reconnect();
    goesOnAfter(p, 1, 1);
    p.acknowledged(2, "L-27a");
  }

  private static void newLinkWithRepeats(PlayedInstrument p) throws Broken, LinkException {
    p.first("L-23a");
    p.sayReading(2);
    p.acknowledged(2, "L-23a");
    p.reconnect();
    p.stream();
    p.fence(2, "L-25a");
    p.sayReading(3);
    p.acknowledged(3, "L-25a");
  }

  private static void newLinkAfterLoss(PlayedInstrument p) throws Broken, LinkException {
    p.first("L-23a");
    p.sayLost(2, 6);
    p.acknowledged(6, "L-26b");
    p.reconnect();
    goesOnAfter(p, 6, 6);
    p.sayReading(7);
    p.acknowledged(7, "L-26b");
  }

  private static void goesOnAfter(PlayedInstrument p, long least, long most)
      throws Broken, LinkException {
    long after = UsualAnswers.after(p.stream());
    if (after < least) {
      throw new Broken(
          "L-19a",
          "%d was acknowledged, yet the bridge asks after=%d on the new link"
              .formatted(least, after));
    }
    if (after > most) {
      throw new Broken(
          "L-19a",
          "reading %d was not acknowledged, yet the bridge asks after=%d on the new link"
              .formatted(most + 1, after));
    }
  }
}
