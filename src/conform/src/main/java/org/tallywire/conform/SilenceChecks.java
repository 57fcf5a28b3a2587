package org.tallywire.conform;

import java.time.Duration;
import java.util.List;
import java.util.Optional;
import org.tallywire.api.LinkException;
import org.tallywire.line.LineMessage;

/** Beats while nothing else is said, and silence after ours. */
final class SilenceChecks {

  private static final Duration LONGEST_BEAT = Duration.ofSeconds(30);
  private static final Duration LEAST_QUIET = Duration.ofMillis(500);
  private static final int INTERVALS = 3;

  private final Dialogue with;

  SilenceChecks(Dialogue with) {
    this.with = with;
  }

  List<Check> all() {
    return List.of(
        Check.of("a line comes in every interval, no reading unasked", "L-28a L-18", this::idle),
        Check.of(
            "a refused hello ends the session until the next one", "L-37a L-12c", this::refused),
        Check.of(
            "our silence ends the session until the next hello", "L-28c L-19c", this::silence));
  }

  private void idle() throws Broken, NotSeen, LinkException {
    with.hello();
    inEveryInterval(with, INTERVALS);
  }

  private void silence() throws Broken, NotSeen, LinkException {
    with.hello();
    fallsSilent(with, 1);
  }

  private void refused() throws Broken, NotSeen, LinkException {
    with.hello();
    with.refused(with.request("hello", "version", "2.0"), 301, "L-12c");
    quiet(with);
    with.hello();
  }

  /** L-37a: listens for longer than a beat may be late; nothing may come, there is no session. */
  static void quiet(Dialogue with) throws Broken, NotSeen, LinkException {
    Duration beat = with.session().beat();
    bearable(beat);
    Duration pause = beat.multipliedBy(3).dividedBy(2);
    Optional<Talk.Heard.Line> heard =
        with.await(any -> true, pause.compareTo(LEAST_QUIET) > 0 ? pause : LEAST_QUIET);
    if (heard.isPresent()) {
      throw new Broken(
          "L-37a",
          "a hello with version=2.0, though refused, ends the session; after it came "
              + heard.get().text());
    }
  }

  static void bearable(Duration beat) throws NotSeen {
    if (beat.compareTo(LONGEST_BEAT) > 0) {
      throw new NotSeen(
          "its beat of %d s is too long to wait for; try it with a shorter one"
              .formatted(beat.toSeconds()));
    }
  }

  /** L-28a: listens for some intervals, each of which must bring a line. */
  static void inEveryInterval(Dialogue with, int intervals) throws Broken, NotSeen, LinkException {
    Duration beat = with.session().beat();
    bearable(beat);
    Duration pause = with.rate().late(beat);
    long end = with.now() + beat.multipliedBy(2L * intervals + 1).dividedBy(2).toNanos();
    while (with.now() < end) {
      if (with.await(any -> true, pause).isEmpty()) {
        throw new Broken(
            "L-28a",
            "nothing came for %d ms; the hello says beat=%d, and a beat was due"
                .formatted(pause.toMillis(), beat.toMillis()));
      }
    }
  }

  /**
   * L-28c: we fall silent, and so must the instrument, until the next hello.
   *
   * @param beats after how many at most the next line is due where it does not fall silent
   */
  static void fallsSilent(Dialogue with, int beats) throws Broken, NotSeen, LinkException {
    Duration beat = with.session().beat();
    bearable(beat);
    LineRate rate = with.rate();
    Duration silence = rate.late(rate.silence(beat));
    Duration pause = beat.multipliedBy(2L * beats + 1).dividedBy(2);
    Duration quiet = pause.compareTo(LEAST_QUIET) > 0 ? pause : LEAST_QUIET;
    with.beats(false);
    long late = with.now() + silence.toNanos();
    with.listen(rate.silence(beat));
    Optional<Talk.Heard.Line> heard = with.await(any -> true, quiet);
    while (heard.isPresent() && with.now() < late) {
      heard = with.await(any -> true, quiet); // it may be late
    }
    silent(heard, "%d ms".formatted(silence.toMillis()));
    with.sayBeat();
    silent(
        with.await(any -> true, pause),
        "%d ms, then one >beat and no hello".formatted(silence.toMillis()));
    String boot = with.session().boot();
    LineMessage send = with.request("send", "boot", boot, "after", "0", "credit", "1");
    with.refused(send, 302, "L-19c");
    with.hello();
  }

  private static void silent(Optional<Talk.Heard.Line> heard, String after) throws Broken {
    if (heard.isPresent()) {
      throw new Broken(
          "L-28c",
          "after silence of ours of %s it still says %s".formatted(after, heard.get().text()));
    }
  }
}
