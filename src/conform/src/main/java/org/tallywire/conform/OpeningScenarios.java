package org.tallywire.conform;

import java.time.Duration;
import java.util.List;
import java.util.Optional;
import org.tallywire.api.LinkException;

/** Hello, version, start and boot id. */
final class OpeningScenarios {

  private static final Duration CLOSING = Duration.ofSeconds(2);

  private OpeningScenarios() {}

  static List<Scenario> all() {
    return List.of(
        Scenario.of(
            "a conversation without any fault",
            "L-12a L-16a L-17a L-19a L-23a L-23c L-23e",
            OpeningScenarios::usual),
        Scenario.of("version 2.0", "L-12c", p -> refused(p, "2.0")),
        Scenario.of("version 0.9", "L-12c", p -> refused(p, "0.9")),
        Scenario.of(
            "version 1.99 with fields, words of can and kinds that nobody knows",
            "L-32a L-12c",
            OpeningScenarios::later),
        Scenario.of("version 1.0, ok without first and last", "L-32d", OpeningScenarios::earlier),
        outOfRange("beat=50", "beat", "50"),
        outOfRange("beat=600001", "beat", "600001"),
        outOfRange("line=99", "line", "99"),
        outOfRange("line=241", "line", "241"),
        outOfRange("store=0", "store", "0"),
        outOfRange("boot=a.b", "boot", "a.b"),
        outOfRange("a boot id of 33 characters", "boot", "b".repeat(33)),
        outOfRange("a model of 65 characters", "model", "m".repeat(65)),
        Scenario.of("a hello without serial", "L-13d", OpeningScenarios::nameless),
        Scenario.of(
            "a hello with control characters, markup and 64 characters in its texts",
            "L-31c L-9b",
            OpeningScenarios::strangeTexts),
        Scenario.of("!start in the middle of readings", "L-15b L-19a", OpeningScenarios::restart),
        Scenario.of(
            "another boot id in a reading, without !start",
            "L-15b",
            p -> otherBoot(p, "!reading boot=BOOT seq=1 clock=none status=ok v1=1.0")),
        Scenario.of(
            "another boot id in a beat, without !start",
            "L-15b",
            p -> otherBoot(p, "!beat boot=BOOT last=0 held=0")),
        Scenario.of(
            "another boot id in a declared loss, without !start",
            "L-15b",
            p -> otherBoot(p, "!lost boot=BOOT from=1 to=3")),
        Scenario.of("!start three times in a row", "L-15b", OpeningScenarios::hesitant),
        Scenario.of(
            "!start while the channels are listed", "L-15b L-17b", OpeningScenarios::restartEarly));
  }

  private static void usual(PlayedInstrument p) throws Broken, LinkException {
    p.stream();
    for (int n = 1; n <= 20; n++) {
      long said = p.now();
      p.sayReading(n);
      p.acknowledged(n, "L-23a");
      if (p.now() - said > Duration.ofSeconds(1).toNanos()) {
        p.note(
            "L-23e",
            "an acknowledgement took %d ms, it should take 1000 at most"
                .formatted((p.now() - said) / 1_000_000));
      }
    }
  }

  private static void refused(PlayedInstrument p, String version) throws Broken {
    p.state("version", version);
    Closing.awaitAtHello(p, CLOSING, "L-12c", "the instrument speaks version " + version);
  }

  private static void later(PlayedInstrument p) throws Broken, LinkException {
    p.state("version", "1.99");
    p.state("can", "singing,digest,x-1");
    p.state("colour", "green");
    p.stream();
    p.say("!weather boot=%s sun=1".formatted(p.boot()));
    p.say("<weather req=1 sun=1");
    p.say("!beat boot=%s last=0 held=0 mood=fine".formatted(p.boot()));
    p.sayReading(1, Wire.digested(p.reading(1) + " colour=green"));
    p.acknowledged(1, "L-32a");
  }

  private static void earlier(PlayedInstrument p) throws Broken, LinkException {
    p.state("version", "1.0");
    p.answerLine("send", "<ok req=REQ");
    p.first("L-32d");
  }

  private static Scenario outOfRange(String what, String key, String value) {
    return Scenario.of("a hello with " + what, "L-13d", p -> outOfRange(p, what, key, value));
  }

  private static void outOfRange(PlayedInstrument p, String what, String key, String value)
      throws Broken {
    p.state(key, value);
    notTaken(p, what);
  }

  private static void nameless(PlayedInstrument p) throws Broken {
    p.leaveOut("serial");
    notTaken(p, "no serial");
  }

  private static void notTaken(PlayedInstrument p, String what) throws Broken {
    try {
      p.request("hello", "L-12a");
      Optional<Talk.Heard.Line> on = p.await(m -> m.kind().equals("channels"), p.moment());
      if (on.isPresent()) {
        throw new Broken("L-13d", "took a hello with %s and went on".formatted(what));
      }
    } catch (LinkException e) {
      // it closed, which it may
    }
  }

  private static void strangeTexts(PlayedInstrument p) throws Broken, LinkException {
    p.state("maker", "\u0007\u001b[2J");
    p.state("model", "<b>%s");
    p.state("firmware", "${jndi:x}");
    p.state("serial", ("ö" + p.boot() + "%s%n").concat("x".repeat(64)).substring(0, 64));
    p.first("L-31c");
  }

  private static void restart(PlayedInstrument p) throws Broken, LinkException {
    p.stream();
    for (int n = 1; n <= 3; n++) {
      p.sayReading(n);
    }
    p.acknowledged(3, "L-23a");
    p.reboot();
    p.say("!start boot=" + p.boot());
    anew(p);
  }

  private static void otherBoot(PlayedInstrument p, String body) throws Broken, LinkException {
    p.first("L-23a");
    p.reboot();
    p.say(body.replace("BOOT", p.boot()));
    anew(p);
  }

  /** Sees that the bridge says hello, and takes readings from number 1 on. */
  private static void anew(PlayedInstrument p) throws Broken, LinkException {
    p.request("hello", "L-15b");
    long after = UsualAnswers.after(p.stream());
    if (after != 0) {
      throw new Broken(
          "L-19a", "asked after=%d of a boot id of which it has no reading".formatted(after));
    }
    p.sayReading(1);
    p.acknowledged(1, "L-15b");
  }

  private static void hesitant(PlayedInstrument p) throws Broken, LinkException {
    for (int i = 0; i < 3; i++) {
      p.say("!start boot=" + p.boot());
    }
    p.stream();
    p.listen(p.moment());
    p.sayReading(1);
    p.acknowledged(1, "L-15b");
  }

  private static void restartEarly(PlayedInstrument p) throws Broken, LinkException {
    p.answerLine("channels", "<channel req=REQ n=1 of=2 ch=1 quantity=turns-ratio unit=1");
    p.request("channels", "L-12a");
    p.answerAsUsual("channels");
    p.reboot();
    p.say("!start boot=" + p.boot());
    anew(p);
  }
}
