package org.tallywire.simulator.face;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayDeque;
import java.util.List;
import java.util.NavigableSet;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Queue;
import java.util.TreeSet;
import java.util.function.Consumer;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.tallywire.simulator.face.InstrumentClock.Stamp;
import org.tallywire.simulator.face.LineCodec.Decoded;
import org.tallywire.simulator.face.Store.Entry;
import org.tallywire.simulator.tester.Measurement;

/** The instrument side of {@code shared/protocol.md}, version 1.1; rules are named as there. */
public final class LineFace implements InstrumentFace {

  public static final int MOST_CREDIT = 64;

  private static final Pattern VERSION =
      Pattern.compile("(0|[1-9][0-9]{0,17})\\.(0|[1-9][0-9]{0,17})");
  private static final String OUR_MAJOR = "1";
  private static final int OUR_MINOR = 1;

  /** An id, not a number: it is repeated as it came, zeros in front included (L-16a). */
  private static final Pattern REQUEST = Pattern.compile("[0-9]{1,9}");

  /** Bits a second of the line. */
  private static final int BAUD = 115_200;

  private static final double SILENCE_BEATS = 2.5;

  /** Line time of the longest line (L-28c). */
  private static final long LONGEST_LINE_NANOS = LineCodec.LONGEST * 10 * 1_000_000_000L / BAUD;

  /** A beat leaves by this part of an interval early, so that it is never late (L-28a). */
  private static final int EARLY_PART = 20;

  private static final int RESEND_BEATS = 3;
  private static final int MOST_WAITING = 256;

  private final String serial;
  private final String boot;
  private final Store store;
  private final Duration beat;
  private final InstrumentClock clock;
  private final InstrumentLines lines;
  private final Witness witness;
  private final Consumer<String> remark;
  private final LineReader reader = new LineReader();
  private final Queue<Line> waiting = new ArrayDeque<>();

  private boolean asked;
  private boolean greeted;
  private boolean sending;
  private int minor = OUR_MINOR;
  private long damaged;
  private long heardAt;
  private long beatAt;
  private long quietSince;

  /** The last request, if it was a {@code >send} that was granted (L-16d). */
  private Optional<Line> granted = Optional.empty();

  /** What was said to it. */
  private long first;

  /** Everything up to here is acknowledged. */
  private long acknowledged;

  /** Everything up to here has been sent in this turn, or was not asked for. */
  private long cursor;

  /** The highest number ever sent. */
  private long sentUpTo;

  /** The numbers held that were sent at least once (L-24c). */
  private final NavigableSet<Long> sent = new TreeSet<>();

  /** The numbers that await an acknowledgement, as they were sent in this turn. */
  private final Queue<Long> unacknowledged = new ArrayDeque<>();

  private long credit;

  /** Sees each reading as it is numbered, before any of it can leave. */
  public interface Witness {

    /**
     * A reading was taken.
     *
     * @param line its line from the start mark up to the check value, as it is sent the first time
     *     to a bridge of our own version
     */
    void taken(String serial, String boot, long seq, String line);
  }

  /**
   * An instrument that has not been switched on yet.
   *
   * @param boot id of this power-up (L-14)
   * @param beat heart-beat interval
   * @param witness sees what is taken
   * @param remark takes sentences for people
   */
  public LineFace(
      String serial,
      String boot,
      Store store,
      Duration beat,
      InstrumentClock clock,
      Witness witness,
      Consumer<String> remark) {
    this.serial = serial;
    this.boot = boot;
    this.store = store;
    this.beat = beat;
    this.clock = clock;
    this.lines = new InstrumentLines(serial, boot, clock);
    this.witness = witness;
    this.remark = remark;
  }

  @Override
  public void powerUp(long now) {
    clock.powerUp(now);
    waiting.add(lines.start());
  }

  @Override
  public void received(byte[] bytes, int length, long now) {
    for (int i = 0; i < length; i++) {
      reader.take(bytes[i]).ifPresent(decoded -> handle(decoded, now));
    }
  }

  @Override
  public void linkLost() {
    endSession();
    waiting.clear();
    reader.forget();
  }

  private void endSession() {
    greeted = false;
    sending = false;
    granted = Optional.empty();
  }

  @Override
  public void measured(Measurement measurement, Instant at, long now) {
    Stamp stamp = clock.stamp(at, now);
    Entry.Stored numbered = new Entry.Stored(store.last() + 1, stamp, measurement);
    if (!lines.fits(numbered, OUR_MINOR)) {
      remark.accept("a reading gets no number, its line would be too long (L-6a): " + measurement);
      return;
    }
    if (store.held() == 0) {
      quietSince = now;
    }
    String line = LineCodec.body(lines.entry(numbered, false, OUR_MINOR));
    witness.taken(serial, boot, numbered.seq(), line);
    store.add(stamp, measurement);
    sent.headSet(store.last() - store.held(), true).clear();
  }

  @Override
  public boolean asked() {
    return asked;
  }

  @Override
  public Optional<Outgoing> next(long now) {
    if (greeted && now - heardAt > silenceNanos()) {
      remark.accept(
          "nothing heard for more than %.1f beats and the time of a line: the link counts as down,"
                  .formatted(SILENCE_BEATS)
              + " readings are kept until the next hello");
      endSession();
      waiting.clear();
    }
    Optional<Outgoing> outgoing =
        Optional.ofNullable(waiting.poll()).map(line -> new Outgoing(LineCodec.encode(line), 0));
    if (outgoing.isEmpty() && sending) {
      outgoing = nextReading(now);
    }
    if (outgoing.isEmpty() && greeted && now - beatAt >= 0) {
      Line said = lines.beat(store.last(), store.held(), damaged);
      outgoing = Optional.of(new Outgoing(LineCodec.encode(said), 0));
    }
    if (outgoing.isPresent()) {
      beatAt = now + beat.toNanos() - beat.toNanos() / EARLY_PART;
    }
    return outgoing;
  }

  @Override
  public long untilNext(long now) {
    return greeted ? Math.max(0, beatAt - now) : Long.MAX_VALUE;
  }

  private long silenceNanos() {
    return (long) (SILENCE_BEATS * beat.toNanos()) + LONGEST_LINE_NANOS;
  }

  /**
   * L-19a, L-24b: within the credit; three beats quiet, and from the oldest held again, whether or
   * not it was asked for.
   */
  private Optional<Outgoing> nextReading(long now) {
    if (store.held() > 0 && now - quietSince > RESEND_BEATS * beat.toNanos()) {
      unacknowledged.clear();
      cursor = 0;
    }
    if (unacknowledged.size() >= credit) {
      return Optional.empty();
    }
    Optional<Entry> entry = store.firstAfter(cursor);
    if (entry.isEmpty()) {
      return Optional.empty();
    }
    quietSince = now;
    cursor = entry.get().seq();
    unacknowledged.add(cursor);
    boolean repeat = !sent.add(cursor);
    sentUpTo = Math.max(sentUpTo, cursor);
    String text = LineCodec.encode(lines.entry(entry.get(), repeat, minor));
    return Optional.of(new Outgoing(text, cursor));
  }

  /** L-28b: a line with a syntax fault arrived undamaged, so it is a sign of life too. */
  private void handle(Decoded decoded, long now) {
    if (decoded instanceof Decoded.Whole whole) {
      heardAt = now;
      handle(whole.line(), now);
    } else if (decoded instanceof Decoded.Syntax syntax) {
      heardAt = now;
      remark.accept("a line with a syntax fault is not acted upon: " + syntax.why());
      syntax.request().ifPresent(req -> waiting.add(InstrumentLines.error(req, 101, syntax.why())));
    } else if (decoded instanceof Decoded.Damaged found) {
      damaged++;
      remark.accept("a damaged line is ignored: " + found.why());
    }
  }

  private void handle(Line line, long now) {
    switch (line.kind()) {
      case "beat" -> {}
      case "ack" -> acknowledge(line, now);
      default -> request(line, now);
    }
  }

  /** L-30c: without a usable {@code req} it is neither answered nor acted upon. */
  private void request(Line line, long now) {
    if (line.text("req").filter(req -> REQUEST.matcher(req).matches()).isEmpty()) {
      remark.accept(">%s has no usable req and is ignored".formatted(line.kind()));
      return;
    }
    if (!granted.equals(Optional.of(line))) {
      granted = Optional.empty();
    }
    waiting.addAll(answers(line, now));
    while (waiting.size() > MOST_WAITING) {
      waiting.remove(); // a bridge that asks faster than the line carries answers
    }
  }

  private List<Line> answers(Line line, long now) {
    String req = line.fields().getOrDefault("req", "");
    return switch (line.kind()) {
      case "hello" -> List.of(hello(line, req));
      case "channels" -> InstrumentLines.channels(req);
      case "send" -> List.of(send(line, req, now));
      case "clock" -> List.of(lines.clock(req, clock.stamp(now), minor));
      default -> List.of(InstrumentLines.error(req, 201, "unknown request " + line.kind()));
    };
  }

  /** L-37: the session before is over, even if this one is refused. */
  private Line hello(Line line, String req) {
    endSession();
    Matcher version = VERSION.matcher(line.text("version").orElse(""));
    if (!version.matches()) {
      return InstrumentLines.error(req, 202, "version is missing or not major.minor");
    }
    if (!version.group(1).equals(OUR_MAJOR)) {
      return InstrumentLines.error(
          req, 301, "this instrument speaks version " + InstrumentLines.VERSION);
    }
    greeted = true;
    minor = (int) Math.min(OUR_MINOR, Long.parseLong(version.group(2)));
    return lines.hello(req, store.capacity(), beat);
  }

  /** L-19c: what is not a number, then whose it is, then what is not there. */
  private Line send(Line line, String req, long now) {
    OptionalLong after = line.number("after", 0, Long.MAX_VALUE);
    OptionalLong wanted = line.number("credit", 1, MOST_CREDIT);
    if (line.text("boot").isEmpty() || after.isEmpty() || wanted.isEmpty()) {
      return InstrumentLines.error(
          req, 202, "boot, after and credit (1 to " + MOST_CREDIT + ") are needed");
    }
    if (!line.text("boot").get().equals(boot)) {
      return InstrumentLines.error(req, 302, "the boot id is " + boot);
    }
    if (!greeted) {
      return InstrumentLines.error(req, 302, "there is no session: say hello first");
    }
    if (after.getAsLong() > store.last()) {
      return InstrumentLines.error(req, 202, "the last number given is " + store.last());
    }
    asked = true;
    sending = true;
    cursor = after.getAsLong();
    unacknowledged.clear();
    credit = wanted.getAsLong();
    quietSince = now;
    // L-16d: the same request again has the same answer, though readings may have gone since.
    if (granted.isEmpty()) {
      first = store.firstAfter(cursor).map(Entry::first).orElse(store.last() + 1);
      granted = Optional.of(line);
    }
    return InstrumentLines.ok(req, first, store.last());
  }

  private void acknowledge(Line line, long now) {
    OptionalLong seq = line.number("seq", 0, sentUpTo);
    OptionalLong wanted = line.number("credit", 1, MOST_CREDIT);
    if (!line.text("boot").equals(Optional.of(boot)) || seq.isEmpty() || wanted.isEmpty()) {
      // As it is sent, so that control characters in it are seen (L-31c).
      remark.accept(
          "an acknowledgement is ignored: %s; the boot id is %s, the last number sent %d, credit is"
                  .formatted(LineCodec.body(line), boot, sentUpTo)
              + " 1 to "
              + MOST_CREDIT);
      return;
    }
    store.forget(seq.getAsLong());
    acknowledged = Math.max(acknowledged, seq.getAsLong());
    cursor = Math.max(cursor, acknowledged);
    unacknowledged.removeIf(number -> number <= acknowledged);
    sent.headSet(acknowledged, true).clear();
    credit = wanted.getAsLong();
    quietSince = now;
  }
}
