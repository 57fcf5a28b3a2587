package org.tallywire.conform;

import java.time.Duration;
import java.util.List;
import org.tallywire.api.LinkException;

/** Beats, signs of life, silence. */
final class LivenessScenarios {

  private static final Duration BEAT = Duration.ofMillis(200);
  private static final int BEATS = 4;

  private LivenessScenarios() {}

  static List<Scenario> all() {
    return List.of(
        Scenario.of(
            "a quiet instrument: the bridge beats", "L-28a L-16b", LivenessScenarios::beats),
        Scenario.of(
            "an instrument that says only what nobody knows is alive",
            "L-28b L-32a",
            LivenessScenarios::alive),
        Scenario.of("the instrument falls silent", "L-28c", p -> silent(p, "")),
        Scenario.of(
            "the instrument falls silent in the middle of a line",
            "L-28c",
            p -> silent(p, "!reading boot=")),
        Scenario.of(
            "only damaged lines arrive: no sign of life", "L-28b L-28c", LivenessScenarios::noise),
        Scenario.of(
            "the instrument falls silent before it listed its channels",
            "L-28c L-29d",
            LivenessScenarios::silentEarly));
  }

  private static void beats(PlayedInstrument p) throws Broken, LinkException {
    p.state("beat", "" + BEAT.toMillis());
    p.stream();
    Duration most = p.rate().late(BEAT);
    Duration all = p.rate().late(BEAT.multipliedBy(2L * BEATS));
    long begun = p.now();
    for (int lines = 0; lines < BEATS; lines++) {
      if (p.await(m -> true, most).isEmpty()) {
        throw new Broken(
            "L-28a",
            "the bridge said nothing for %d ms, a line each %d ms is due"
                .formatted(most.toMillis(), BEAT.toMillis()));
      }
    }
    if (p.now() - begun > all.toNanos()) {
      throw new Broken(
          "L-28a",
          "%d lines in %d ms, one each %d ms is due"
              .formatted(BEATS, (p.now() - begun) / 1_000_000, BEAT.toMillis()));
    }
  }

  private static void alive(PlayedInstrument p) throws Broken, LinkException {
    p.state("beat", "" + BEAT.toMillis());
    p.stream();
    p.freeze();
    long until = p.now() + p.rate().silence(BEAT).plus(BEAT).toNanos();
    while (p.now() < until) {
      p.say("!weather sun=1");
      if (Closing.isSeen(p, BEAT.dividedBy(2))) {
        throw new Broken("L-28b", "an undamaged line of an unknown kind is a sign of life");
      }
    }
  }

  private static void silent(PlayedInstrument p, String last) throws Broken, LinkException {
    p.state("beat", "" + BEAT.toMillis());
    p.first("L-23a");
    p.freeze();
    p.sayBeat();
    if (!last.isEmpty()) {
      p.sayBytes(Wire.bytes(last));
    }
    long since = p.now();
    Duration silence = p.rate().silence(BEAT);
    Closing.await(p, p.rate().late(silence), "L-28c", "the instrument is silent");
    if (p.now() - since < BEAT.multipliedBy(2).toNanos()) {
      throw new Broken(
          "L-28c",
          "gave up after %d ms of silence, where %d ms is due"
              .formatted((p.now() - since) / 1_000_000, silence.toMillis()));
    }
  }

  private static void noise(PlayedInstrument p) throws Broken, LinkException {
    p.state("beat", "" + BEAT.toMillis());
    p.stream();
    p.freeze();
    long until = p.now() + p.rate().late(p.rate().silence(BEAT)).toNanos();
    try {
      while (p.now() < until) {
        p.sayBytes(Wire.bytes("!beat boot=%s last=0 held=0*0000\n".formatted(p.boot())));
        if (Closing.isSeen(p, BEAT.dividedBy(2))) {
          return;
        }
      }
    } catch (LinkException e) {
      return; // closed, as it is to be
    }
    throw new Broken("L-28b", "damaged lines were taken for signs of life");
  }

  private static void silentEarly(PlayedInstrument p) throws Broken, LinkException {
    p.state("beat", "" + BEAT.toMillis());
    p.answer("channels", request -> p.freeze());
    p.request("channels", "L-12a");
    Closing.await(
        p,
        p.rate().late(p.rate().silence(BEAT).plus(p.rate().limit(0, 0).multipliedBy(4))),
        "L-28c",
        "the instrument is silent");
  }
}
