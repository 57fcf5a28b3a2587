package org.tallywire.simulator.face;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.zip.CRC32C;
import org.tallywire.simulator.face.InstrumentClock.Stamp;
import org.tallywire.simulator.face.Store.Entry;
import org.tallywire.simulator.tester.Measurement;
import org.tallywire.simulator.tester.Measurement.Channel;

/** Every line that the instrument says, as section 8 of {@code shared/protocol.md} lists them. */
final class InstrumentLines {

  static final String VERSION = "1.1";

  private static final String OPTIONAL_PARTS = "clock,digest";

  /** Characters of a text at most (L-31a). */
  private static final int LONGEST_TEXT = 64;

  private final String serial;
  private final String boot;
  private final InstrumentClock clock;

  InstrumentLines(String serial, String boot, InstrumentClock clock) {
    this.serial = serial;
    this.boot = boot;
    this.clock = clock;
  }

  Line start() {
    return new Line('!', "start").with("boot", boot);
  }

  /** Who it is and what it can (L-13). */
  Line hello(String req, int store, Duration beat) {
    return answer("hello", req)
        .with("version", VERSION)
        .with("maker", "Tallywire")
        .with("model", "pretend tester")
        .with("serial", serial)
        .with("firmware", "0.1")
        .with("boot", boot)
        .with("line", LineCodec.LONGEST)
        .with("store", store)
        .with("beat", beat.toMillis())
        .with("can", OPTIONAL_PARTS);
  }

  /** One line a channel (L-17). */
  static List<Line> channels(String req) {
    List<Line> lines = new ArrayList<>();
    Channel[] channels = Channel.values();
    for (Channel channel : channels) {
      Line line =
          answer("channel", req)
              .with("n", lines.size() + 1)
              .with("of", channels.length)
              .with("ch", channel.number())
              .with("quantity", channel.quantity())
              .with("unit", channel.unit());
      if (channel.resolution().isPresent()) {
        line = line.with("resolution", channel.resolution().get());
      }
      lines.add(line.with("min", channel.min()).with("max", channel.max()));
    }
    return lines;
  }

  /** What will begin and what has been given (L-19b). */
  static Line ok(String req, long first, long last) {
    return answer("ok", req).with("first", first).with("last", last);
  }

  /** The time that it is for the instrument (L-34b). */
  Line clock(String req, Stamp now, int minor) {
    return clock.timed(answer("clock", req).with("clock", clock.quality(minor)), now, minor);
  }

  /** L-31a: the text is cut to 64 characters, and until its line is not too long either. */
  static Line error(String req, int code, String text) {
    int characters = Math.min(LONGEST_TEXT, text.codePointCount(0, text.length()));
    while (true) {
      String cut = text.substring(0, text.offsetByCodePoints(0, characters));
      Line line = answer("error", req).with("code", code).with("text", cut);
      if (LineCodec.body(line).length() <= LineCodec.LONGEST - LineCodec.CHECK_LENGTH) {
        return line;
      }
      characters--;
    }
  }

  /** {@code damaged} only where something was (L-8b). */
  Line beat(long last, int held, long damaged) {
    Line line = new Line('!', "beat").with("boot", boot).with("last", last).with("held", held);
    return damaged > 0 ? line.with("damaged", damaged) : line;
  }

  /** A reading, or the range that went in its place (L-26). */
  Line entry(Entry entry, boolean repeat, int minor) {
    if (entry instanceof Entry.Lost lost) {
      return digested(
          new Line('!', "lost")
              .with("boot", boot)
              .with("from", lost.from())
              .with("to", lost.seq()));
    }
    Line line = digested(reading((Entry.Stored) entry, minor));
    return repeat ? line.with("resent", 1) : line;
  }

  /** Returns whether a reading fits a line, as a repeat too (L-6a). */
  boolean fits(Entry.Stored stored, int minor) {
    int length = LineCodec.body(entry(stored, true, minor)).length();
    return length <= LineCodec.LONGEST - LineCodec.CHECK_LENGTH;
  }

  private Line reading(Entry.Stored stored, int minor) {
    Measurement measurement = stored.measurement();
    Line line = new Line('!', "reading").with("boot", boot).with("seq", stored.seq());
    line =
        clock
            .timed(line, stored.stamp(), minor)
            .with("clock", clock.quality(minor))
            .with("status", measurement.status())
            .with("test", measurement.test())
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

  /** L-33: over every byte before it; {@code resent} comes behind it and changes nothing. */
  private static Line digested(Line line) {
    CRC32C digest = new CRC32C();
    digest.update(LineCodec.body(line).getBytes(StandardCharsets.US_ASCII));
    return line.with("digest", "%08X".formatted(digest.getValue()));
  }

  private static Line answer(String kind, String req) {
    return new Line('<', kind).with("req", req);
  }
}
