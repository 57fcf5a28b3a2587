package org.tallywire.conform;

import java.time.Duration;
import java.util.List;
import java.util.Optional;
import org.tallywire.api.LinkException;
import org.tallywire.line.LineMessage;

/** Beats while nothing else is said, and silence after ours. */
final class SilenceChecks {

  private static final Duration LONGEST_BEAT = Duration.ofSeconds(30);
  private static final int INTERVALS = 3;

  private final Dialogue with;

  SilenceChecks(Dialogue with) {
    this.with = with;
  }

  List<Check> all() {
    return List.of(
        Check.of("a line comes in every interval, no reading unasked", "L-28a L-18", this::idle),
        Check.of("our silence ends the session until the next hello", "L-28c", this::silence));
  }

  private void idle() throws Broken, NotSeen, LinkException {
    with.hello();
    inEveryInterval(with, INTERVALS);
  }

  private void silence() throws Broken, NotSeen, LinkException {
    with.hello();
    fallsSilent(with);
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
    long end = with.time().nanos() + beat.multipliedBy(intervals).plus(pause).toNanos();
    while (with.time().nanos() < end) {
      if (with.await(any -> true, pause).isEmpty()) {
        throw new Broken(
            "L-28a",
            "nothing came for %d ms; the hello says beat=%d, and a beat was due"
                .formatted(pause.toMillis(), beat.toMillis()));
      }
    }
  }

  /** L-28c: we fall silent, and so must the instrument, until the next hello. */
  static void fallsSilent(Dialogue with) throws Broken, NotSeen, LinkException {
    Duration beat = with.session().beat();
    bearable(beat);
    LineRate rate = with.rate();
    Duration silence = rate.late(rate.silence(beat));
    with.beats(false);
    with.listen(silence);
    silent(with, beat.multipliedBy(3).dividedBy(2), "%d ms".formatted(silence.toMillis()));
    with.say(new LineMessage('>', "beat", LineMessage.fieldsOf()));
    silent(
        with,
        beat.multipliedBy(3).dividedBy(2),
        "%d ms, then one >beat and no hello".formatted(silence.toMillis()));
    with.hello();
  }

  private static void silent(Dialogue with, Duration listening, String after)
      throws Broken, LinkException {
    Optional<Talk.Heard.Line> heard = with.await(any -> true, listening);
    if (heard.isPresent()) {
      throw new Broken(
          "L-28c",
          "after silence of ours of %s it still says %s".formatted(after, heard.get().text()));
    }
  }
}
