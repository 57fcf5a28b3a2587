package org.tallywire.line;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayDeque;
import java.util.HashMap;
import java.util.Map;
import java.util.OptionalLong;
import java.util.Queue;
import java.util.Random;
import org.tallywire.api.Command;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.Framer;
import org.tallywire.api.Gap;
import org.tallywire.api.Instrument;
import org.tallywire.api.LinkException;
import org.tallywire.api.Reading;
import org.tallywire.api.SessionHost;
import org.tallywire.api.TimeSource;

/**
 * The real framer and session at one end of a virtual serial line with a USB adapter, a quick
 * instrument at the other, and a disk that takes 10 ms for each batch (an assumption; a busy hard
 * disk takes longer, an SSD less). Virtual time; the same every time.
 */
final class LineRate implements SessionHost, TimeSource, Framer.Sink {

  private static final Instant WALL = Instant.parse("2026-01-15T08:00:00Z");
  private static final long DISK = 10_000_000;
  private static final long BEAT = 2_000_000_000;
  private static final long LONGEST_RUN = Duration.ofHours(2).toNanos();
  private static final String FIELDS =
      " at=2026-01-15T08:00:00.250Z clock=free status=ok test=turns-ratio windings=HV-LV phase=A"
          + " tap=1 v1=46.2010 v2=3.581 v3=0.011 v4=40.05 digest=";

  private final int baud;
  private final VirtualSerialLine toBridge;
  private final VirtualSerialLine toInstrument;
  private final LineFramer framer = new LineFramer();
  private final LineFramer instrumentFramer = new LineFramer();
  private final Map<String, String> notes = new HashMap<>();
  private final LineSession session = new LineSession(this);
  private final Queue<Long> takenAt = new ArrayDeque<>();
  private final int readings;
  private final boolean stored;
  private final int mostCredit;
  private final Random random = new Random(35);

  private long now;
  private long busyUntil;
  private boolean durable = true;
  private long received;
  private long oldest;

  private boolean asked;
  private long taken;
  private long sent;
  private long acknowledged;
  private int credit;
  private int lineLength;
  private long begun;
  private long ended;
  private long nextTaken;
  private long beatDue = Long.MAX_VALUE;
  private long readingBytes;

  private LineRate(int baud, int readings, boolean stored, int mostCredit) {
    this.baud = baud;
    this.readings = readings;
    this.stored = stored;
    this.mostCredit = mostCredit;
    this.toBridge = new VirtualSerialLine(baud, true);
    this.toInstrument = new VirtualSerialLine(baud, false);
  }

  /** Runs a download of so many stored readings, with the credit granted but no more than that. */
  static LineRate download(int baud, int readings, int mostCredit) throws Exception {
    LineRate run = new LineRate(baud, readings, true, mostCredit);
    run.taken = readings;
    run.run();
    return run;
  }

  /** Runs so many readings, each taken when the line has had time for the one before. */
  static LineRate live(int baud, int readings) throws Exception {
    LineRate run = new LineRate(baud, readings, false, 64);
    run.run();
    return run;
  }

  int credit() {
    return credit;
  }

  /** Returns the time of a reading's line in milliseconds. */
  double lineMs() {
    return lineLength * 1e4 / baud;
  }

  /** Returns the share of the line's time that carried readings, 0 to 1. */
  double use() {
    return readingBytes * (double) toBridge.byteTime() / (ended - begun);
  }

  /** Returns the longest time from a reading taken to its frame at the bridge, in milliseconds. */
  double oldestMs() {
    return oldest / 1e6;
  }

  /** Returns L-29's time for {@code >send} while readings may be on their way, in milliseconds. */
  double sendTimeoutMs() {
    int request = ">send req=3 boot=b1 after=0 credit=64*0000".length();
    return 2 * (request + 240 + credit * 240) * 1e4 / baud + 200;
  }

  private void run() throws Exception {
    session.start();
    while (acknowledged < readings) {
      bridge();
      instrument();
      now = Math.max(now + 1, next());
      if (now > LONGEST_RUN) {
        throw new IllegalStateException("not done after two hours: " + this);
      }
    }
  }

  private long next() {
    long next = Math.min(toBridge.nextDelivery(), session.nextTick());
    next = now < busyUntil ? busyUntil : next;
    next = Math.min(next, Math.min(toInstrument.nextDelivery(), beatDue));
    if (asked && !stored && taken < readings) {
      next = Math.min(next, nextTaken);
    }
    if (sent < taken && sent - acknowledged < credit) {
      next = Math.min(next, toBridge.idleAt());
    }
    return next;
  }

  /** Does what a station's thread does: read, feed, write to disk, acknowledge, tick. */
  private void bridge() throws LinkException {
    if (now < busyUntil) {
      return;
    }
    if (!durable) {
      durable = true;
      session.durable();
    }
    byte[] bytes = toBridge.take(now);
    framer.feed(bytes, bytes.length, now(), this);
    if (!durable) {
      busyUntil = now + DISK;
    }
    if (now - session.nextTick() >= 0) {
      session.tick();
    }
  }

  private void instrument() throws Exception {
    byte[] bytes = toInstrument.take(now);
    instrumentFramer.feed(
        bytes,
        bytes.length,
        now(),
        new Framer.Sink() {
          @Override
          public void frame(Frame frame) {
            try {
              answer(LineMessage.parse(frame));
            } catch (FrameException e) {
              throw new IllegalStateException(e);
            }
          }

          @Override
          public void fault(FrameException fault) {
            throw new IllegalStateException(fault);
          }
        });
    if (asked && !stored && taken < readings && now >= nextTaken) {
      take();
    }
    if (sent < taken && sent - acknowledged < credit && toBridge.isIdle(now)) {
      sendReading();
    } else if (now >= beatDue) {
      say("!beat boot=b1 last=%d held=%d".formatted(taken, taken - acknowledged));
    }
  }

  private void take() {
    taken++;
    takenAt.add(now);
    long line = 250 * toBridge.byteTime();
    nextTaken = now + 3 * line + 40_000_000 + random.nextInt(400_000_000);
  }

  private void sendReading() {
    sent++;
    String body = "!reading boot=b1 seq=%d%s%08X".formatted(sent, FIELDS, digest(sent));
    byte[] line = (Wire.line(body) + "\n").getBytes(StandardCharsets.US_ASCII);
    lineLength = line.length;
    readingBytes += line.length;
    begun = sent == 1 ? now : begun;
    send(line);
  }

  private static long digest(long seq) {
    java.util.zip.CRC32C crc = new java.util.zip.CRC32C();
    String covered = "!reading boot=b1 seq=" + seq + FIELDS.substring(0, FIELDS.length() - 8);
    crc.update(covered.getBytes(StandardCharsets.US_ASCII));
    return crc.getValue();
  }

  private void answer(LineMessage line) {
    Map<String, String> fields = line.fields();
    String req = fields.getOrDefault("req", "");
    switch (line.kind()) {
      case "hello" ->
          say(Wire.HELLO.replace("req=1 version=1.0", "req=%s version=1.1".formatted(req)));
      case "channels" -> {
        for (int n = 1; n <= 4; n++) {
          say("<channel req=%s n=%d of=4 ch=%d quantity=turns-ratio unit=1".formatted(req, n, n));
        }
      }
      case "send" -> {
        asked = true;
        grant(fields);
        say("<ok req=%s first=1 last=%d".formatted(req, taken));
        nextTaken = now + 1_000_000_000;
      }
      case "ack" -> {
        acknowledged = Long.parseLong(fields.getOrDefault("seq", ""));
        ended = now;
        grant(fields);
      }
      default -> {}
    }
  }

  private void grant(Map<String, String> fields) {
    credit = Math.min(mostCredit, Integer.parseInt(fields.getOrDefault("credit", "")));
  }

  private void say(String body) {
    send((Wire.line(body) + "\n").getBytes(StandardCharsets.US_ASCII));
  }

  private void send(byte[] line) {
    toBridge.send(line, now);
    beatDue = now + BEAT;
  }

  @Override
  public void frame(Frame frame) {
    try {
      session.frame(frame);
    } catch (FrameException | LinkException e) {
      throw new IllegalStateException(e);
    }
  }

  @Override
  public void fault(FrameException fault) {
    throw new IllegalStateException(fault);
  }

  @Override
  public Instant now() {
    return WALL.plusNanos(now);
  }

  @Override
  public long nanos() {
    return now;
  }

  @Override
  public TimeSource time() {
    return this;
  }

  @Override
  public Duration lineTime(int bytes) {
    return Duration.ofNanos(bytes * 10L * 1_000_000_000L / baud);
  }

  @Override
  public Map<String, String> notes() {
    return notes;
  }

  @Override
  public void send(Command command) {
    toInstrument.send(command.bytes(), now);
  }

  @Override
  public void identified(Instrument instrument) {}

  @Override
  public OptionalLong lastRecorded(Instrument instrument, String epoch) {
    return OptionalLong.empty();
  }

  @Override
  public void reading(Reading reading) {
    received++;
    durable = false;
    if (!stored) {
      oldest = Math.max(oldest, now - takenAt.remove());
    }
  }

  @Override
  public void gap(Gap gap) {
    throw new IllegalStateException(gap.detail());
  }

  @Override
  public void restarted(String sentence) {}

  @Override
  public void speed(int baud) {}

  @Override
  public void repeated() {}

  @Override
  public void status(String words) {}

  @Override
  public String toString() {
    return "%d baud, credit %d: taken %d, sent %d, received %d, acknowledged %d, oldest %.1f ms"
        .formatted(baud, credit, taken, sent, received, acknowledged, oldestMs());
  }
}
