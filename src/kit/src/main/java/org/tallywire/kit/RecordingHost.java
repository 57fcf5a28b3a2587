package org.tallywire.kit;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.OptionalLong;
import org.tallywire.api.Command;
import org.tallywire.api.Gap;
import org.tallywire.api.Instrument;
import org.tallywire.api.Reading;
import org.tallywire.api.SessionHost;
import org.tallywire.api.TimeSource;

/** A host that writes down all that a session does. Used by one thread. */
public final class RecordingHost implements SessionHost {

  private static final Duration NETWORK = Duration.ofMillis(150);

  /** A reading came before anybody said whose it is. */
  static final class NotIdentified extends IllegalStateException {
    NotIdentified() {
      super("a reading was given before identified() said which instrument speaks");
    }
  }

  private final TimeSource time;
  private final List<Command> sent = new ArrayList<>();
  private final List<Instrument> instruments = new ArrayList<>();
  private final List<Reading> readings = new ArrayList<>();
  private final List<Gap> gaps = new ArrayList<>();
  private final Map<String, String> notes = new HashMap<>();
  private final List<String> statuses = new ArrayList<>();
  private final List<String> restarts = new ArrayList<>();
  private final List<String> contradictions = new ArrayList<>();
  private OptionalLong lastRecorded = OptionalLong.empty();
  private int repeats;
  private int baud = 115_200;

  /** Makes a host whose clocks are the given ones. */
  public RecordingHost(TimeSource time) {
    this.time = time;
  }

  /** Sets the number that stands as the last one on disk, whatever the epoch. */
  public void setLastRecorded(long number) {
    lastRecorded = OptionalLong.of(number);
  }

  /** Sets the speed of the link, bits per second; 115200 if it is not set. */
  public void setBaud(int bitsPerSecond) {
    baud = bitsPerSecond;
  }

  /** Makes the link one over TCP: a flat line time. */
  public void setNetwork() {
    baud = 0;
  }

  /** Returns the words of status said so far. */
  public List<String> statuses() {
    return List.copyOf(statuses);
  }

  /** Returns the restarts told so far. */
  public List<String> restarts() {
    return List.copyOf(restarts);
  }

  /** Returns the contradictions of settings told so far. */
  public List<String> contradictions() {
    return List.copyOf(contradictions);
  }

  /** Returns all that was sent since the last call, as text, one command each. */
  public List<String> takeSent() {
    return takeCommands().stream()
        .map(c -> new String(c.bytes(), StandardCharsets.ISO_8859_1))
        .toList();
  }

  /** Returns all that was sent since the last call. */
  public List<Command> takeCommands() {
    List<Command> taken = List.copyOf(sent);
    sent.clear();
    return taken;
  }

  /** Returns the instruments named so far. */
  public List<Instrument> instruments() {
    return List.copyOf(instruments);
  }

  /** Returns the readings given so far. */
  public List<Reading> readings() {
    return List.copyOf(readings);
  }

  /** Returns the speed of the link now, bits per second; 0 over TCP. */
  public int baud() {
    return baud;
  }

  /** Returns how many readings were said to have come again. */
  public int repeats() {
    return repeats;
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
    return baud == 0 ? NETWORK : Duration.ofNanos(bytes * 10L * 1_000_000_000L / baud);
  }

  @Override
  public Map<String, String> notes() {
    return notes;
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
  public void restarted(String sentence) {
    restarts.add(sentence);
  }

  @Override
  public void contradicted(String sentence) {
    contradictions.add(sentence);
  }

  @Override
  public OptionalLong lastRecorded(Instrument instrument, String epoch) {
    return lastRecorded;
  }

  @Override
  public void reading(Reading reading) {
    if (instruments.isEmpty()) {
      throw new NotIdentified();
    }
    readings.add(reading);
  }

  @Override
  public void speed(int bitsPerSecond) {
    if (baud != 0) {
      baud = bitsPerSecond;
    }
  }

  @Override
  public void repeated() {
    repeats++;
  }

  @Override
  public void gap(Gap gap) {
    gaps.add(gap);
  }

  @Override
  public void status(String words) {
    statuses.add(words);
  }
}
