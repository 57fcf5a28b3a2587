package org.tallywire.simulator;

import java.time.Duration;
import java.time.Instant;
import java.time.ZoneOffset;
import java.time.format.DateTimeFormatter;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Queue;
import java.util.function.Consumer;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.tallywire.simulator.LineCodec.Decoded;
import org.tallywire.simulator.Measurement.Channel;
import org.tallywire.simulator.Store.Entry;

/** The instrument side of {@code shared/protocol.md}, version 1.0; rules are named as there. */
final class LineFace implements InstrumentFace {

  static final int MOST_CREDIT = 64;

  private static final Pattern VERSION = Pattern.compile("([0-9]{1,4})\\.([0-9]{1,4})");
  private static final String OUR_MAJOR = "1";
  private static final String OUR_VERSION = "1.0";
  private static final long MOST_REQUEST = 999_999_999;
  private static final double SILENCE_BEATS = 2.5;
  private static final int RESEND_BEATS = 3;
  private static final DateTimeFormatter UTC_MILLIS =
      DateTimeFormatter.ofPattern("uuuu-MM-dd'T'HH:mm:ss.SSS'Z'", Locale.ROOT)
          .withZone(ZoneOffset.UTC);

  private final String serial;
  private final String boot;
  private final Store store;
  private final long beatNanos;
  private final Consumer<String> remark;
  private final LineReader reader = new LineReader();
  private final Queue<Line> waiting = new ArrayDeque<>();

  private boolean asked;
  private boolean greeted;
  private boolean sending;
  private long heardAt;
  private long beatAt;
  private long quietSince;
  private Optional<Line> lastRequest = Optional.empty();
  private List<Line> lastAnswers = List.of();

  /** Everything up to here is acknowledged, or was not asked for. */
  private long base;

  /** Everything up to here has been sent in this turn. */
  private long cursor;

  /** The highest number ever sent. */
  private long sentUpTo;

  /** The numbers that await an acknowledgement, as they were sent in this turn. */
  private final Queue<Long> unacknowledged = new ArrayDeque<>();

  private long credit;

  /**
   * An instrument that has not been switched on yet.
   *
   * @param boot id of this power-up (L-14)
   * @param beat heart-beat interval
   * @param remark takes sentences for people
   */
  LineFace(String serial, String boot, Store store, Duration beat, Consumer<String> remark) {
    this.serial = serial;
    this.boot = boot;
    this.store = store;
    this.beatNanos = beat.toNanos();
    this.remark = remark;
  }

  @Override
  public void powerUp(long now) {
    waiting.add(new Line('!', "start").with("boot", boot));
  }

  @Override
  public void received(byte[] bytes, int length, long now) {
    for (int i = 0; i < length; i++) {
      reader.take(bytes[i]).ifPresent(decoded -> handle(decoded, now));
    }
  }

  @Override
  public void linkLost() {
    greeted = false;
    sending = false;
    lastRequest = Optional.empty();
    waiting.clear();
  }

  @Override
  public void measured(Measurement measurement, Instant at, long now) {
    store.add(at, measurement);
  }

  @Override
  public boolean asked() {
    return asked;
  }

  @Override
  public Optional<Outgoing> next(long now) {
    if (greeted && now - heardAt > (long) (SILENCE_BEATS * beatNanos)) {
      remark.accept(
          "nothing heard for more than %.1f beats: the link counts as down, readings are kept until"
                  .formatted(SILENCE_BEATS)
              + " the next hello");
      linkLost();
    }
    if (waiting.isEmpty() && greeted && now - beatAt >= 0) {
      beatAt = now + beatNanos;
      waiting.add(
          new Line('!', "beat")
              .with("boot", boot)
              .with("last", store.last())
              .with("held", store.held()));
    }
    Line line = waiting.poll();
    return line != null
        ? Optional.of(new Outgoing(LineCodec.encode(line), 0))
        : sending ? nextReading(now) : Optional.empty();
  }

  @Override
  public long untilNext(long now) {
    return greeted ? Math.max(0, beatAt - now) : Long.MAX_VALUE;
  }

  /** L-19, L-24: within the credit; after three beats unacknowledged, from the oldest again. */
  private Optional<Outgoing> nextReading(long now) {
    if (!unacknowledged.isEmpty() && now - quietSince > RESEND_BEATS * beatNanos) {
      unacknowledged.clear();
      cursor = base;
    }
    if (unacknowledged.size() >= credit) {
      return Optional.empty();
    }
    Optional<Entry> entry = store.firstAfter(cursor);
    if (entry.isEmpty()) {
      return Optional.empty();
    }
    if (unacknowledged.isEmpty()) {
      quietSince = now;
    }
    cursor = entry.get().seq();
    unacknowledged.add(cursor);
    boolean repeat = cursor <= sentUpTo;
    sentUpTo = Math.max(sentUpTo, cursor);
    return Optional.of(new Outgoing(LineCodec.encode(line(entry.get(), repeat)), cursor));
  }

  private Line line(Entry entry, boolean repeat) {
    if (entry instanceof Entry.Lost lost) {
      return new Line('!', "lost")
          .with("boot", boot)
          .with("from", lost.from())
          .with("to", lost.seq());
    }
    Entry.Stored stored = (Entry.Stored) entry;
    Measurement measurement = stored.measurement();
    Line line =
        new Line('!', "reading")
            .with("boot", boot)
            .with("seq", stored.seq())
            .with("at", UTC_MILLIS.format(stored.at()))
            .with("clock", "free")
            .with("status", "ok");
    line = repeat ? line.with("resent", 1) : line;
    line =
        line.with("test", measurement.test())
            .with("windings", measurement.windings())
            .with("phase", measurement.phase());
    if (measurement.tap().isPresent()) {
      line = line.with("tap", measurement.tap().getAsInt());
    }
    for (Map.Entry<Channel, String> value : measurement.values().entrySet()) {
      line = line.with("v" + value.getKey().number(), value.getValue());
    }
    return line;
  }

  private void handle(Decoded decoded, long now) {
    if (decoded instanceof Decoded.Whole whole) {
      heardAt = now;
      handle(whole.line(), now);
    } else if (decoded instanceof Decoded.Syntax syntax) {
      remark.accept("a line with a syntax fault is not acted upon: " + syntax.why());
      syntax.request().ifPresent(req -> waiting.add(error(req, 101, syntax.why())));
    } else if (decoded instanceof Decoded.Damaged damaged) {
      remark.accept("a damaged line is ignored: " + damaged.why());
    }
  }

  private void handle(Line line, long now) {
    switch (line.kind()) {
      case "beat" -> {}
      case "ack" -> acknowledge(line, now);
      default -> request(line, now);
    }
  }

  /** L-16: the same request again is answered again and acted upon once. */
  private void request(Line line, long now) {
    if (line.number("req", 0, MOST_REQUEST).isEmpty()) {
      remark.accept(">%s has no usable req and is ignored".formatted(line.kind()));
      return;
    }
    if (!lastRequest.equals(Optional.of(line))) {
      lastAnswers = answers(line, now);
      lastRequest = Optional.of(line);
    }
    waiting.addAll(lastAnswers);
  }

  private List<Line> answers(Line line, long now) {
    String req = line.fields().getOrDefault("req", "");
    return switch (line.kind()) {
      case "hello" -> List.of(hello(line, req, now));
      case "channels" -> channels(req);
      case "send" -> List.of(send(line, req, now));
      default -> List.of(error(req, 201, "unknown request " + line.kind()));
    };
  }

  private Line hello(Line line, String req, long now) {
    Matcher version = VERSION.matcher(line.text("version").orElse(""));
    if (!version.matches()) {
      return error(req, 202, "version is missing or not major.minor");
    }
    if (!version.group(1).equals(OUR_MAJOR)) {
      return error(req, 301, "this instrument speaks version " + OUR_VERSION);
    }
    linkLost();
    greeted = true;
    beatAt = now + beatNanos;
    return new Line('<', "hello")
        .with("req", req)
        .with("version", OUR_VERSION)
        .with("maker", "Tallywire")
        .with("model", "pretend tester")
        .with("serial", serial)
        .with("firmware", "0.1")
        .with("boot", boot)
        .with("line", LineCodec.LONGEST)
        .with("store", store.capacity())
        .with("beat", Duration.ofNanos(beatNanos).toMillis());
  }

  private static List<Line> channels(String req) {
    List<Line> lines = new ArrayList<>();
    Channel[] channels = Channel.values();
    for (Channel channel : channels) {
      lines.add(
          new Line('<', "channel")
              .with("req", req)
              .with("n", lines.size() + 1)
              .with("of", channels.length)
              .with("ch", channel.number())
              .with("quantity", channel.quantity())
              .with("unit", channel.unit()));
    }
    return lines;
  }

  private Line send(Line line, String req, long now) {
    if (line.text("boot").isEmpty()) {
      return error(req, 202, "boot is missing");
    }
    if (!line.text("boot").get().equals(boot)) {
      return error(req, 302, "the boot id is " + boot);
    }
    OptionalLong after = line.number("after", 0, store.last());
    if (after.isEmpty()) {
      return error(req, 202, "after is missing or not 0 to " + store.last());
    }
    OptionalLong granted = line.number("credit", 1, MOST_CREDIT);
    if (granted.isEmpty()) {
      return error(req, 202, "credit is missing or not 1 to " + MOST_CREDIT);
    }
    asked = true;
    sending = true;
    base = after.getAsLong();
    cursor = base;
    unacknowledged.clear();
    credit = granted.getAsLong();
    quietSince = now;
    return new Line('<', "ok").with("req", req);
  }

  private void acknowledge(Line line, long now) {
    OptionalLong seq = line.number("seq", 0, sentUpTo);
    OptionalLong granted = line.number("credit", 1, MOST_CREDIT);
    if (!line.text("boot").equals(Optional.of(boot)) || seq.isEmpty() || granted.isEmpty()) {
      remark.accept(
          "an acknowledgement is ignored: %s; the boot id is %s, the last number sent %d, credit is"
                  .formatted(line.fields(), boot, sentUpTo)
              + " 1 to "
              + MOST_CREDIT);
      return;
    }
    store.forget(seq.getAsLong());
    base = Math.max(base, seq.getAsLong());
    cursor = Math.max(cursor, base);
    unacknowledged.removeIf(sent -> sent <= base);
    credit = granted.getAsLong();
    quietSince = now;
  }

  private static Line error(String req, int code, String text) {
    return new Line('<', "error").with("req", req).with("code", code).with("text", text);
  }
}
