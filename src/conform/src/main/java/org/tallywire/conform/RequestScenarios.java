package org.tallywire.conform;

import java.time.Duration;
import java.util.List;
import java.util.Optional;
import org.tallywire.api.LinkException;
import org.tallywire.line.LineMessage;

/** Answers that are lost, late, doubled, damaged or another's; the clock. */
final class RequestScenarios {

  private static final Duration CLOCK_WAIT = Duration.ofMillis(700);
  private static final String NO_CLOCK = "the bridge does not ask for the clock, which it may not";

  private RequestScenarios() {}

  static List<Scenario> all() {
    return List.of(
        Scenario.of("the answer to >hello is lost", "L-12a L-16d L-29a", p -> lost(p, "hello")),
        Scenario.of(
            "the answer to >channels is lost", "L-16d L-29a L-29c", p -> lost(p, "channels")),
        Scenario.of("the answer to >send is lost", "L-16d L-16c L-29a", p -> lost(p, "send")),
        Scenario.of(">hello is never answered", "L-29d L-12a", p -> Repeats.givenUp(p, "hello")),
        Scenario.of(">channels is never answered", "L-29d", p -> Repeats.givenUp(p, "channels")),
        Scenario.of(">send is never answered", "L-29d", p -> Repeats.givenUp(p, "send")),
        Scenario.of("an answer to another request", "L-16a L-16c", RequestScenarios::another),
        Scenario.of("an answer after its repeat, twice", "L-16d", RequestScenarios::late),
        Scenario.of("the answer to >hello is damaged", "L-8a L-29a", p -> damaged(p, "hello")),
        Scenario.of("the answer to >send is damaged", "L-8a L-29a", p -> damaged(p, "send")),
        Scenario.of("can=clock, and the clock is told", "L-34a", RequestScenarios::clock),
        Scenario.of(
            "can=clock, and the first >clock is not answered",
            "L-34a L-29a L-16d",
            p -> clockLost(p)),
        Scenario.of("readings while >clock is open", "L-34a L-23a", RequestScenarios::clockOpen),
        Scenario.of(
            "can=clock, and >clock is refused with 201", "L-30a", RequestScenarios::clockRefused));
  }

  private static void lost(PlayedInstrument p, String kind) throws Broken, LinkException {
    Repeats.once(p, kind);
    if (!kind.equals("send")) {
      p.stream();
    }
    p.sayReading(1);
    p.acknowledged(1, "L-16d");
  }

  private static void another(PlayedInstrument p) throws Broken, LinkException {
    p.answer(
        "hello",
        request -> {
          long other = (Long.parseLong(PlayedInstrument.req(request)) + 1) % 1_000_000_000;
          p.answerHello(new LineMessage('>', "hello", LineMessage.fieldsOf("req", "" + other)));
        });
    Talk.Heard.Line asked = p.request("hello", "L-12a");
    Optional<Talk.Heard.Line> on = p.await(m -> m.kind().equals("channels"), p.moment());
    if (on.isPresent()) {
      throw new Broken("L-16a", "took an answer that repeats the req of another request");
    }
    p.answer("hello", p::answerHello);
    Repeats.next(p, asked);
    p.stream();
    p.sayReading(1);
    p.acknowledged(1, "L-16a");
  }

  private static void late(PlayedInstrument p) throws Broken, LinkException {
    p.answer(
        "channels",
        request -> {
          p.answerChannels(request);
          p.answerChannels(request);
        });
    Repeats.once(p, "channels");
    p.stream();
    p.sayReading(1);
    p.acknowledged(1, "L-16d");
  }

  private static void damaged(PlayedInstrument p, String kind) throws Broken, LinkException {
    p.answer(kind, request -> p.sayBytes(damagedAnswer(p, kind, request)));
    Talk.Heard.Line asked = p.request(kind, "L-12a");
    p.answer(kind, kind.equals("hello") ? p::answerHello : r -> p.answerSend(r, 1));
    Repeats.next(p, asked);
    if (kind.equals("hello")) {
      p.stream();
    }
    p.sayReading(1);
    p.acknowledged(1, "L-8a");
  }

  private static byte[] damagedAnswer(PlayedInstrument p, String kind, LineMessage request) {
    String body = "<ok req=%s first=1 last=0".formatted(PlayedInstrument.req(request));
    if (kind.equals("hello")) {
      body =
          "<hello req=%s version=1.1 maker=a model=b serial=c firmware=d boot=%s"
                  .formatted(PlayedInstrument.req(request), p.boot())
              + " line=240 store=500 beat=500";
    }
    return Wire.flipped(Wire.line(body), body.length() - 1);
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
    Duration limit = p.rate().late(p.rate().limit(asked.text().length(), 0));
    if (p.await(m -> m.kind().equals("clock"), limit).isPresent()) {
      throw new Broken("L-30a", ">clock was refused with 201 and asked again");
    }
  }
}
