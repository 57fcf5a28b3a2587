package org.tallywire.line;

import java.math.BigDecimal;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.tallywire.api.Decimals;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.Instrument;
import org.tallywire.api.Reading;
import org.tallywire.api.SequenceNumber;
import org.tallywire.api.Value;

/** Turns a {@code !reading} line into a reading (rules L-20 to L-22, L-31 and L-33). */
final class ReadingLine {

  private static final List<String> LABELS = List.of("test", "windings", "phase", "tap");

  /** The label under which a reading keeps the milliseconds since power-up (clock=relative). */
  private static final String UPTIME = "uptime";

  private static final Pattern VALUE_KEY = Pattern.compile("v([1-9][0-9]?)");

  private ReadingLine() {}

  static Reading read(
      Frame frame,
      LineMessage line,
      Instrument instrument,
      SequenceNumber sequence,
      Channels channels)
      throws FrameException {
    line.text(frame, "boot");
    Digest.checkPlace(frame, line);
    InstrumentTime time = InstrumentTime.read(frame, line);
    Map<String, String> labels = labels(frame, line);
    time.uptime().ifPresent(millis -> labels.put(UPTIME, Long.toString(millis)));
    List<Value> values = values(frame, line, channels);
    if (values.isEmpty()) {
      throw LineMessage.syntax(frame, "a reading without a value");
    }
    return new Reading(
        instrument,
        Optional.of(sequence),
        0,
        labels,
        values,
        word(frame, "status", Reading.Status.of(line.text(frame, "status"))),
        time.at(),
        time.quality(),
        frame.receivedAt(),
        frame.text());
  }

  private static Map<String, String> labels(Frame frame, LineMessage line) throws FrameException {
    Map<String, String> labels = new LinkedHashMap<>();
    for (String label : LABELS) {
      if (line.text(label).isPresent()) {
        labels.put(label, line.shortText(frame, label));
      }
    }
    return labels;
  }

  private static List<Value> values(Frame frame, LineMessage line, Channels channels)
      throws FrameException {
    Map<Integer, Value> values = new TreeMap<>(); // the order of fields has no meaning: L-10b
    for (Map.Entry<String, String> field : line.fields().entrySet()) {
      Matcher key = VALUE_KEY.matcher(field.getKey());
      if (key.matches()) {
        int number = Integer.parseInt(key.group(1));
        Optional<Channels.Channel> channel = channels.channel(number);
        if (channel.isEmpty()) {
          throw LineMessage.syntax(frame, "channel %d was not listed".formatted(number));
        }
        values.put(number, value(frame, channel.get(), field.getKey(), field.getValue()));
      }
    }
    return List.copyOf(values.values());
  }

  private static Value value(Frame frame, Channels.Channel channel, String key, String text)
      throws FrameException {
    Optional<BigDecimal> number = Decimals.parse(text);
    if (number.isPresent()) {
      return new Value.Measured(channel.quantity(), number.get(), channel.unit());
    }
    Value.Reason reason =
        Value.Reason.of(text)
            .orElseThrow(
                () ->
                    LineMessage.syntax(
                        frame,
                        "%s=%s is neither a decimal nor a status word".formatted(key, text)));
    return new Value.Missing(channel.quantity(), channel.unit(), reason);
  }

  private static <T> T word(Frame frame, String key, Optional<T> known) throws FrameException {
    return known.orElseThrow(
        () -> LineMessage.syntax(frame, "%s has a word that is not in the list".formatted(key)));
  }
}
