package org.tallywire.conform;

import java.time.Duration;
import java.util.List;
import org.tallywire.api.LinkException;

/** Answers that are lost, late, doubled, damaged or another's; the clock. */
final class RequestScenarios {

  private static final Duration CLOCK_WAIT = Duration.ofMillis(700);
  private static final String NO_CLOCK = "the bridge does not ask for the clock, which it need not";

  private RequestScenarios() {}

  static List<Scenario> all() {
    return List.of(
        Scenario.of(
            "the answer to >send is lost, and one to another request comes",
            "L-16a L-16c L-16d L-29a",
            RequestScenarios::another),
        neverAnswered(
            "hello", "<hello req=REQ version=1.1 maker=a model=b serial=c firmware=d boot=b"),
        neverAnswered("channels", "<channel req=REQ n=1 of=1 ch=1 quantity=turns-ratio unit=1"),
        neverAnswered("send", "<ok req=REQ first=1 last=0"),
        Scenario.of(
            "an answer to another request", "L-16a L-16d L-12a L-29a", RequestScenarios::another),
        Scenario.of(
            "the answer to >channels is lost, and comes twice after the repeat",
            "L-16c L-16d L-29a L-29c",
            RequestScenarios::late),
        Scenario.of("can=clock, and the clock is told", "L-34a", RequestScenarios::clock),
        Scenario.of(
            "can=clock, and the first >clock is not answered",
            "L-34a L-29a L-16d",
            p -> clockLost(p)),
        Scenario.of("readings while >clock is open", "L-34a L-23a", RequestScenarios::clockOpen),
        Scenario.of(
            "can=clock, and >clock is refused with 201", "L-30a", RequestScenarios::clockRefused));
  }

  /** A request whose answers are damaged: three repeats, then the link is closed. */
  private static Scenario neverAnswered(String kind, String answer) {
    return Scenario.of(
        ">%s is never answered but by damaged lines".formatted(kind),
        "L-29d L-29a L-8a L-16d",
        p -> {
          p.answer(
              kind,
              request -> {
                for (String body : List.of(answer, "<error req=REQ code=301")) {
                  String right = body.replace("REQ", UsualAnswers.req(request));
                  p.sayBytes(Wire.flipped(Wire.line(right), right.length() - 1));
                }
              });
          try {
            Repeats.givenUp(p, kind);
          } catch (Broken e) {
            // it went on with something else, as after an answer
            throw e.citation().equals("L-16c") ? new Broken("L-8a", "" + e.getMessage()) : e;
          }
        });
  }

  private static void another(PlayedInstrument p) throws Broken, LinkException {
    p.answer(
        "send",
        request -> {
          long other = (Long.parseLong(UsualAnswers.req(request)) + 1) % 1_000_000_000;
          p.say("<ok req=%d first=1 last=0".formatted(other));
        });
    Talk.Heard.Line asked = p.request("send", "L-12a");
    p.answerAsUsual("send");
    try {
      Repeats.next(p, asked);
    } catch (Broken e) {
      throw e.citation().equals("L-29a")
          ? new Broken("L-16a", "after an answer to another request: " + e.getMessage())
          : e;
    }
    p.sayReading(1);
    p.acknowledged(1, "L-16a");
  }

  private static void late(PlayedInstrument p) throws Broken, LinkException {
    p.answer(
        "channels",
        request -> {
          p.usual().channels(request);
          p.usual().channels(request);
        });
    Repeats.once(p, "channels");
    p.first("L-16d");
  }

  private static Talk.Heard.Line askedForClock(PlayedInstrument p)
      throws Broken, NotSeen, LinkException {
    p.state("can", "clock");
    p.stream();
    return p.await(m -> m.kind().equals("clock"), CLOCK_WAIT.plus(p.moment()))
        .orElseThrow(() -> new NotSeen(NO_CLOCK));
  }

  private static void clock(PlayedInstrument p) throws Broken, NotSeen, LinkException {
    askedForClock(p);
    p.sayReading(1);
    p.acknowledged(1, "L-34a");
  }

  private static void clockLost(PlayedInstrument p) throws Broken, NotSeen, LinkException {
    p.drop("clock", 1);
    Repeats.next(p, askedForClock(p));
    p.sayReading(1);
    p.acknowledged(1, "L-34a");
  }

  private static void clockOpen(PlayedInstrument p) throws Broken, NotSeen, LinkException {
    p.drop("clock", 1);
    askedForClock(p);
    for (int n = 1; n <= 3; n++) {
      p.sayReading(n);
    }
    p.acknowledged(3, "L-23a");
  }

  private static void clockRefused(PlayedInstrument p) throws Broken, NotSeen, LinkException {
    p.answerLine("clock", "<error req=REQ code=201 text=no");
    Talk.Heard.Line asked = askedForClock(p);
    p.sayReading(1);
    p.acknowledged(1, "L-30a");
    Duration limit = p.rate().limit(asked.text().length(), 0).plus(p.moment());
    if (p.await(m -> m.kind().equals("clock"), limit).isPresent()) {
      throw new Broken("L-30a", ">clock was refused with 201 and asked again");
    }
  }
}
