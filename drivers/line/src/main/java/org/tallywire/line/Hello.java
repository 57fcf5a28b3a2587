package org.tallywire.line;

import java.time.Duration;
import java.util.List;
import java.util.Set;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.Instrument;
import org.tallywire.api.SequenceNumber;

/**
 * What an instrument says about itself in its hello (rules L-12 and L-13).
 *
 * @param minor the minor version it speaks
 * @param instrument who it is
 * @param boot its boot id
 * @param beat the heart-beat interval
 * @param can the optional parts it has; words unknown here among them
 */
record Hello(long minor, Instrument instrument, String boot, Duration beat, Set<String> can) {

  static final String VERSION = "1.1";

  private static final Pattern TWO_NUMBERS =
      Pattern.compile("(0|[1-9][0-9]{0,17})\\.(0|[1-9][0-9]{0,17})");
  private static final String OUR_MAJOR = "1";
  private static final int SHORTEST_LINE = 100;
  private static final long LARGEST_STORE = 1_000_000_000;
  private static final long SHORTEST_BEAT = 100;
  private static final long LONGEST_BEAT = 600_000;

  Hello {
    can = Set.copyOf(can);
  }

  /** Reads a hello; the version first, since another major may have other fields (L-32c). */
  static Hello read(Frame frame, LineMessage line) throws FrameException {
    String version = line.text(frame, "version");
    Matcher numbers = TWO_NUMBERS.matcher(version);
    if (!numbers.matches()) {
      throw LineMessage.syntax(frame, "version=%s is not two whole numbers".formatted(version));
    }
    if (!numbers.group(1).equals(OUR_MAJOR)) {
      throw new FrameException(
          FaultCode.VERSION_REFUSED,
          "the instrument speaks version %s of the line protocol; this driver speaks %s"
              .formatted(version, VERSION),
          frame.bytes());
    }
    line.whole(frame, "line", SHORTEST_LINE, LineFramer.LIMIT);
    line.whole(frame, "store", 1, LARGEST_STORE);
    return new Hello(
        Long.parseLong(numbers.group(2)),
        new Instrument(
            line.shortText(frame, "maker"),
            line.shortText(frame, "model"),
            serial(frame, line),
            line.shortText(frame, "firmware")),
        boot(frame, line),
        Duration.ofMillis(line.whole(frame, "beat", SHORTEST_BEAT, LONGEST_BEAT)),
        Set.copyOf(List.of(line.text("can").orElse("").split(",", -1))));
  }

  private static String serial(Frame frame, LineMessage line) throws FrameException {
    String serial = line.shortText(frame, "serial");
    if (serial.isEmpty()) {
      throw LineMessage.syntax(frame, "serial is empty");
    }
    return serial;
  }

  /** Returns the boot id that a line must state. */
  static String boot(Frame frame, LineMessage line) throws FrameException {
    try {
      return new SequenceNumber(line.text(frame, "boot"), 1).epoch();
    } catch (IllegalArgumentException e) {
      throw LineMessage.syntax(frame, String.valueOf(e.getMessage()));
    }
  }
}
