package org.tallywire.simulator.face;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.time.InstantSource;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.tallywire.simulator.face.LineCodec.Decoded;
import org.tallywire.simulator.tester.Measurement;
import org.tallywire.simulator.tester.Measurement.Channel;

/** A line face with a clock that a test moves, and the bridge's side of the talk. */
final class FaceUnderTest {

  static final Duration BEAT = Duration.ofSeconds(2);
  static final String BOOT = "boot-1";

  final List<String> remarks = new ArrayList<>();
  final LineFace face;
  private final Store store;
  private final String boot;
  private Instant midnight = Instant.EPOCH;
  private long now;

  FaceUnderTest(Store store) {
    this(store, BOOT, InstrumentClock.Quality.FREE);
  }

  FaceUnderTest(Store store, String boot, InstrumentClock.Quality quality) {
    this.store = store;
    this.boot = boot;
    InstantSource wall = () -> midnight.plusNanos(now);
    this.face =
        new LineFace(
            "SIM-0007",
            boot,
            store,
            BEAT,
            new InstrumentClock(quality, wall),
            (serial, id, seq, line) -> {},
            remarks::add);
  }

  /** Sets the time of day that it is at the time 0 of this test. */
  void startAt(Instant time) {
    midnight = time;
  }

  void pass(Duration time) {
    now += time.toNanos();
  }

  void passBeats(double beats) {
    now += (long) (beats * BEAT.toNanos());
  }

  void say(Line line) {
    sayText(LineCodec.encode(line));
  }

  void sayText(String text) {
    sayBytes(text.getBytes(StandardCharsets.ISO_8859_1));
  }

  void sayBytes(byte[] bytes) {
    face.received(bytes, bytes.length, now);
  }

  /** Opens a session and grants credit. */
  void open(long after, int credit) {
    say(new Line('>', "hello").with("req", 1).with("version", "1.1"));
    send(3, after, credit);
  }

  void send(int req, long after, int credit) {
    say(
        new Line('>', "send")
            .with("req", req)
            .with("boot", boot)
            .with("after", after)
            .with("credit", credit));
  }

  void ack(long seq, int credit) {
    say(new Line('>', "ack").with("boot", boot).with("seq", seq).with("credit", credit));
  }

  void beat() {
    say(new Line('>', "beat"));
  }

  void measure(int times) {
    for (int i = 0; i < times; i++) {
      measure(Measurement.ratio("A", 1, Map.of(Channel.RATIO, "46.2" + store.last())));
    }
  }

  void measure(Measurement measurement) {
    face.measured(measurement, midnight.plusNanos(now), now);
  }

  /** Sends a line of any content with its right check value. */
  void sayChecked(String body) {
    sayText(checked(body));
  }

  static String checked(String body) {
    byte[] bytes = body.getBytes(StandardCharsets.ISO_8859_1);
    return body + "*%04X".formatted(LineCodec.check(bytes, bytes.length)) + "\n";
  }

  /** Returns what the instrument says now, until it has nothing more to say. */
  List<Line> heard() {
    List<Line> lines = new ArrayList<>();
    Optional<Line> line = next();
    while (line.isPresent()) {
      lines.add(line.get());
      line = next();
    }
    return lines;
  }

  Optional<Line> next() {
    return nextText()
        .map(text -> text.substring(0, text.length() - 1).getBytes(StandardCharsets.US_ASCII))
        .map(bytes -> ((Decoded.Whole) LineCodec.decode(bytes)).line());
  }

  /** Returns the next line with its terminator, as it goes out. */
  Optional<String> nextText() {
    return face.next(now).map(InstrumentFace.Outgoing::text);
  }

  /** Returns what the instrument says now of one kind. */
  List<Line> heardAll(String kind) {
    return heard().stream().filter(line -> line.kind().equals(kind)).toList();
  }

  /** Returns the one line of that kind that the instrument says now. */
  Line heard(String kind) {
    List<Line> lines = heardAll(kind);
    if (lines.size() != 1) {
      throw new AssertionError("%d lines %s, wanted one".formatted(lines.size(), kind));
    }
    return lines.get(0);
  }

  static List<Long> numbers(List<Line> lines, String key) {
    return lines.stream().map(line -> Long.valueOf(line.fields().get(key))).toList();
  }
}
