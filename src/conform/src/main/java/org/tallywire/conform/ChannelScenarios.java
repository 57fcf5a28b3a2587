package org.tallywire.conform;

import java.time.Duration;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Optional;
import org.tallywire.api.LinkException;

/** The list of channels: whole, broken, long, and another one under the same boot id. */
final class ChannelScenarios {

  private static final int MOST = 99;
  private static final String FIRST = "<channel req=REQ n=1 of=2 ch=1 quantity=turns-ratio unit=1";

  private ChannelScenarios() {}

  static List<Scenario> all() {
    return List.of(
        broken("a list of channels with a line missing", FIRST),
        broken(
            "a list of channels with two different counts",
            FIRST,
            "<channel req=REQ n=2 of=3 ch=2 quantity=excitation-current unit=mA"),
        broken(
            "a list of channels with a channel twice",
            FIRST,
            "<channel req=REQ n=2 of=2 ch=1 quantity=turns-ratio unit=1"),
        Scenario.of(
            "a list of channels with a line damaged", "L-17b L-8a", ChannelScenarios::damaged),
        Scenario.of("99 channels, from the last to the first", "L-17a", ChannelScenarios::most),
        Scenario.of(
            "quantities, units and fields of channels that nobody knows",
            "L-32a",
            ChannelScenarios::unknown),
        Scenario.of(
            "another list of channels under the same boot id, after !start",
            "L-17c",
            ChannelScenarios::changed),
        Scenario.of(
            "another list of channels under the same boot id, on a new link",
            "L-17c",
            ChannelScenarios::changedOnNewLink));
  }

  private static Scenario broken(String name, String... bodies) {
    return Scenario.of(name, "L-17b", p -> broken(p, bodies));
  }

  private static void broken(PlayedInstrument p, String... bodies) throws Broken, LinkException {
    p.answer(
        "channels",
        request -> {
          for (String body : bodies) {
            p.say(body.replace("REQ", UsualAnswers.req(request)));
          }
        });
    p.request("channels", "L-12a");
    p.answerAsUsual("channels");
    again(p);
  }

  private static void again(PlayedInstrument p) throws Broken, LinkException {
    Duration late = p.rate().late(p.rate().limit(MOST * 5, 0).multipliedBy(2));
    Optional<Talk.Heard.Line> next = p.await(Repeats::isRequest, late);
    if (next.isEmpty() || !next.get().message().kind().equals("channels")) {
      throw new Broken(
          "L-17b",
          "the list is to be asked for again, and %s"
              .formatted(
                  next.map(line -> "this came: " + line.text())
                      .orElse("nothing came within %d ms".formatted(late.toMillis()))));
    }
    p.first("L-17b");
  }

  private static void damaged(PlayedInstrument p) throws Broken, LinkException {
    p.answer(
        "channels",
        request -> {
          p.say(FIRST.replace("REQ", UsualAnswers.req(request)));
          String second =
              "<channel req=%s n=2 of=2 ch=2 quantity=excitation-current unit=mA"
                  .formatted(UsualAnswers.req(request));
          p.sayBytes(Wire.flipped(Wire.line(second), second.length() - 1));
        });
    p.request("channels", "L-12a");
    p.answerAsUsual("channels");
    again(p);
  }

  private static void most(PlayedInstrument p) throws Broken, LinkException {
    List<Integer> numbers = new ArrayList<>();
    for (int n = 1; n <= MOST; n++) {
      numbers.add(n);
    }
    Collections.reverse(numbers);
    p.answer(
        "channels",
        request -> {
          for (int n : numbers) {
            p.say(
                "<channel req=%s n=%d of=%d ch=%d quantity=q-%d unit=V"
                    .formatted(UsualAnswers.req(request), n, MOST, n, n));
          }
        });
    p.stream();
    p.sayReading(
        1, "!reading boot=%s seq=1 clock=none status=ok v1=1 v99=99.5".formatted(p.boot()));
    p.acknowledged(1, "L-17a");
  }

  private static void unknown(PlayedInstrument p) throws Broken, LinkException {
    p.answerLine(
        "channels",
        "<channel req=REQ n=1 of=1 ch=7 quantity=never-heard unit=[ft_i].W/m2 colour=green"
            + " resolution=0.01 min=-5 max=1");
    p.stream();
    p.sayReading(1, "!reading boot=%s seq=1 clock=none status=ok v7=-1.25".formatted(p.boot()));
    p.acknowledged(1, "L-32a");
  }

  private static void changed(PlayedInstrument p) throws Broken, LinkException {
    p.first("L-23a");
    answerOtherwise(p);
    p.say("!start boot=" + p.boot());
    p.request("hello", "L-15b");
    notTaken(p);
  }

  private static void changedOnNewLink(PlayedInstrument p) throws Broken, LinkException {
    p.first("L-23a");
    answerOtherwise(p);
    p.reconnect();
    notTaken(p);
  }

  private static void answerOtherwise(PlayedInstrument p) {
    p.answerLine(
        "channels", "<channel req=REQ n=1 of=1 ch=1 quantity=winding-resistance unit=mOhm");
    p.answerLine("send", "<ok req=REQ first=2 last=1");
  }

  private static void notTaken(PlayedInstrument p) throws Broken {
    try {
      p.request("channels", "L-12a");
      p.await(m -> m.kind().equals("send"), p.moment().multipliedBy(3));
      p.sayReading(2, "!reading boot=%s seq=2 clock=none status=ok v1=1.5".formatted(p.boot()));
      p.await(m -> m.kind().equals("ack") && p.acknowledged() >= 2, p.moment().multipliedBy(2));
    } catch (LinkException e) {
      return; // closed, which it may
    }
    if (p.acknowledged() >= 2) {
      throw new Broken("L-17c", "took a reading by a second list of channels under one boot id");
    }
  }
}
