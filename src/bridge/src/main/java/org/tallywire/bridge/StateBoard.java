package org.tallywire.bridge;

import java.time.Instant;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.tallywire.api.Instrument;
import org.tallywire.api.TimeSource;
import org.tallywire.format.RecordFormat;
import org.tallywire.format.StateRecord;
import org.tallywire.format.StateRecord.Counts;
import org.tallywire.format.StateRecord.Word;

/**
 * Knows the present state of every station and of the bridge and tells it to everybody who shows
 * it. Safe for use by many threads.
 */
final class StateBoard {

  private final TimeSource time;
  private final long epoch;
  private final Map<String, StateRecord> states = new HashMap<>();
  private final List<Watcher> watchers = new ArrayList<>();
  private Optional<String> broker = Optional.empty();

  StateBoard(TimeSource time) {
    this.time = time;
    this.epoch = time.now().toEpochMilli();
  }

  /** Somebody who shows states. */
  interface Watcher {
    void state(String station, byte[] record);
  }

  /** Adds a watcher; it is told every state that comes after. */
  synchronized void tell(Watcher watcher) {
    watchers.add(watcher);
  }

  /** Sets a station's state. */
  synchronized void station(
      String station, Word word, String detail, Optional<Instrument> instrument, Counts counts) {
    set(station, word, detail, instrument, counts);
  }

  /** Sets the bridge's own state. */
  synchronized void bridge(Word word, String detail) {
    set(StateRecord.BRIDGE, word, detail, Optional.empty(), Counts.NONE);
  }

  /** Sets how it stands with the broker. */
  synchronized void broker(String word, String detail) {
    broker = Optional.of(word);
    StateRecord now = states.get(StateRecord.BRIDGE);
    boolean stopped = now != null && now.word() == Word.STOPPED;
    bridge(stopped ? Word.STOPPED : Word.RUNNING, detail);
  }

  /** Returns the bridge's state "down", for the broker to publish if the bridge dies. */
  byte[] will() {
    Instant now = time.now();
    return RecordFormat.write(
        new StateRecord(
            StateRecord.BRIDGE,
            Word.DOWN,
            now,
            now,
            epoch,
            "The bridge lost its connection to the broker without saying goodbye.",
            Optional.empty(),
            Optional.empty(),
            Counts.NONE));
  }

  private void set(
      String station, Word word, String detail, Optional<Instrument> instrument, Counts counts) {
    Instant now = time.now();
    StateRecord before = states.get(station);
    Instant since = before != null && before.word() == word ? before.since() : now;
    Optional<String> brokerWord =
        station.equals(StateRecord.BRIDGE) && word != Word.STOPPED ? broker : Optional.empty();
    StateRecord state =
        new StateRecord(station, word, since, now, epoch, detail, instrument, brokerWord, counts);
    states.put(station, state);
    byte[] record = RecordFormat.write(state);
    watchers.forEach(watcher -> watcher.state(station, record));
  }
}
