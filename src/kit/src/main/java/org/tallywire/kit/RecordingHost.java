package org.tallywire.kit;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.OptionalLong;
import org.tallywire.api.Command;
import org.tallywire.api.Gap;
import org.tallywire.api.Instrument;
import org.tallywire.api.Reading;
import org.tallywire.api.SessionHost;
import org.tallywire.api.TimeSource;

/** A host that writes down all that a session does. Used by one thread. */
public final class RecordingHost implements SessionHost {

  private final TimeSource time;
  private final List<Command> sent = new ArrayList<>();
  private final List<Instrument> instruments = new ArrayList<>();
  private final List<Reading> readings = new ArrayList<>();
  private final List<Gap> gaps = new ArrayList<>();
  private OptionalLong lastRecorded = OptionalLong.empty();

  /** Makes a host whose clocks are the given ones. */
  public RecordingHost(TimeSource time) {
    this.time = time;
  }

  /** Sets the number that stands as the last one on disk, whatever the epoch. */
  public void setLastRecorded(long number) {
    lastRecorded = OptionalLong.of(number);
  }

  /** Returns all that was sent since the last call, as text, one command each. */
  public List<String> takeSent() {
    List<String> texts =
        sent.stream().map(c -> new String(c.bytes(), StandardCharsets.ISO_8859_1)).toList();
    sent.clear();
    return texts;
  }

  /** Returns the instruments named so far. */
  public List<Instrument> instruments() {
    return List.copyOf(instruments);
  }

  /** Returns the readings given so far. */
  public List<Reading> readings() {
    return List.copyOf(readings);
  }

  /** Returns the gaps declared so far. */
  public List<Gap> gaps() {
    return List.copyOf(gaps);
  }

  @Override
  public TimeSource time() {
    return time;
  }

  @Override
  public Duration lineTime(int bytes) {
    return Duration.ofNanos(bytes * 10L * 1_000_000_000L / 115_200);
  }

  @Override
  public void send(Command command) {
    sent.add(command);
  }

  @Override
  public void identified(Instrument instrument) {
    instruments.add(instrument);
  }

  @Override
  public OptionalLong lastRecorded(Instrument instrument, String epoch) {
    return lastRecorded;
  }

  @Override
  public void reading(Reading reading) {
    if (instruments.isEmpty()) {
      throw new IllegalStateException(
          "a reading was given before identified() said which instrument speaks");
    }
    readings.add(reading);
  }

  @Override
  public void gap(Gap gap) {
    gaps.add(gap);
  }

  @Override
  public void status(String words) {}
}
