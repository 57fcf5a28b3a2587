package org.tallywire.line;

import java.time.Instant;
import java.time.format.DateTimeParseException;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.regex.Pattern;
import org.tallywire.api.ClockQuality;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;

/**
 * What an instrument says about the time, in a reading and in its answer to {@code >clock} (rules
 * L-20b, L-20c and L-34b).
 *
 * @param quality how good its time is
 * @param at the time, if it has a clock
 * @param uptime milliseconds since power-up, if it has that and no clock
 */
record InstrumentTime(ClockQuality quality, Optional<Instant> at, OptionalLong uptime) {

  private static final Pattern UTC =
      Pattern.compile(
          "[0-9]{4}-[0-9]{2}-[0-9]{2}T"
              + "([01][0-9]|2[0-3]):[0-5][0-9]:[0-5][0-9](\\.[0-9]{1,9})?Z");

  static InstrumentTime read(Frame frame, LineMessage line) throws FrameException {
    String word = line.text(frame, "clock");
    ClockQuality quality =
        ClockQuality.of(word)
            .orElseThrow(
                () -> LineMessage.syntax(frame, "clock=%s is not in the list".formatted(word)));
    return switch (quality) {
      case NONE -> new InstrumentTime(quality, Optional.empty(), OptionalLong.empty());
      case RELATIVE ->
          new InstrumentTime(
              quality,
              Optional.empty(),
              OptionalLong.of(line.whole(frame, "uptime", 0, Long.MAX_VALUE)));
      case FREE, SYNCHRONISED ->
          new InstrumentTime(quality, Optional.of(at(frame, line)), OptionalLong.empty());
    };
  }

  private static Instant at(Frame frame, LineMessage line) throws FrameException {
    String text = line.text(frame, "at");
    try {
      if (UTC.matcher(text).matches()) {
        return Instant.parse(text);
      }
    } catch (DateTimeParseException e) {
      // a date that does not exist: the same fault as a wrong form
    }
    throw LineMessage.syntax(frame, "at=%s is no RFC 3339 time in UTC".formatted(text));
  }
}
