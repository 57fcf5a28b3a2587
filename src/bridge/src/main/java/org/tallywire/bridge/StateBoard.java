package org.tallywire.bridge;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.EnumMap;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.tallywire.api.Instrument;
import org.tallywire.api.TimeSource;
import org.tallywire.format.RecordFormat;
import org.tallywire.format.StateRecord;
import org.tallywire.format.StateRecord.Concern;
import org.tallywire.format.StateRecord.Counts;
import org.tallywire.format.StateRecord.Notice;
import org.tallywire.format.StateRecord.Standing;
import org.tallywire.format.StateRecord.Storage;
import org.tallywire.format.StateRecord.Whole;
import org.tallywire.format.StateRecord.Word;

/**
 * Knows the present state of every station and of the bridge and tells it to everybody who shows
 * it. Of the bridge it holds one sentence a concern, so that none hides another. Safe for use by
 * many threads.
 */
final class StateBoard {

  private static final Duration SIGN_OF_LIFE = Duration.ofSeconds(5);

  private final TimeSource time;
  private final long epoch;
  private final Map<String, StateRecord> states = new HashMap<>();

  /** What each station last said itself, without what is said of all of them. */
  private final Map<String, String> details = new HashMap<>();

  private final Map<Concern, String> troubles = new EnumMap<>(Concern.class);
  private final List<Watcher> watchers = new ArrayList<>();
  private Optional<String> broker = Optional.empty();
  private String brokerSentence = "";
  private boolean brokerWell = true;
  private long brokerSince;
  private Storage storage = Storage.SOUND;
  private Optional<Standing> standing = Optional.empty();
  private Word word = Word.RUNNING;
  private String ownDetail = "";
  private boolean begun;
  private long toldAt;

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
      String station, Word newWord, String detail, Optional<Instrument> instrument, Counts counts) {
    details.put(station, detail);
    StateRecord before = states.get(station);
    Instant now = time.now();
    Instant since = before != null && before.word() == newWord ? before.since() : now;
    tell(
        new StateRecord(
            station,
            newWord,
            since,
            now,
            epoch,
            withStorage(newWord, detail),
            instrument,
            counts,
            Optional.empty()));
  }

  /** Sets the bridge's own state; the detail gives way to any trouble. */
  synchronized void bridge(Word newWord, String detail) {
    word = newWord;
    ownDetail = detail;
    tellBridge();
  }

  /**
   * Sets how it stands with the broker. Trouble stays told until there was none for 5 s, since a
   * connection that is lost again and again would hide why.
   *
   * @param trouble whether somebody should know or do something
   */
  synchronized void broker(String newWord, String sentence, boolean trouble) {
    broker = Optional.of(newWord);
    brokerSentence = sentence;
    if (trouble) {
      set(Concern.BROKER, sentence);
    }
    brokerWell = !trouble;
    brokerSince = time.nanos();
    tellBridge();
  }

  /** Sets how it stands with the journal's disk; every station tells it as well. */
  synchronized void storage(Storage now, String sentence) {
    boolean news = now != storage;
    storage = now;
    set(Concern.STORAGE, now == Storage.SOUND ? "" : sentence);
    if (!begun) {
      return; // the bridge has not been started: nobody watches yet
    }
    tellBridge();
    if (news) {
      for (StateRecord state : List.copyOf(states.values())) {
        if (!state.station().equals(StateRecord.BRIDGE)) {
          String detail = details.getOrDefault(state.station(), "");
          station(state.station(), state.word(), detail, state.instrument(), state.counts());
        }
      }
    }
  }

  /** Sets how far the records have come. */
  synchronized void standing(Standing now) {
    standing = Optional.of(now);
    set(Concern.SHELF, now.shelved() == 0 ? "" : onTheShelf(now.shelved()));
    tellBridge();
  }

  /** Sets the sentence of a concern, or takes it away if it is empty. */
  synchronized void trouble(Concern concern, String sentence) {
    set(concern, sentence);
    tellBridge();
  }

  /** Tells the bridge's state again if the last time was 5 s ago: a sign of life. */
  synchronized void refresh() {
    if (brokerWell
        && troubles.containsKey(Concern.BROKER)
        && time.nanos() - brokerSince >= SIGN_OF_LIFE.toNanos()) {
      trouble(Concern.BROKER, "");
    }
    if (begun && word == Word.RUNNING && time.nanos() - toldAt >= SIGN_OF_LIFE.toNanos()) {
      tellBridge();
    }
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
            Counts.NONE,
            Optional.empty()));
  }

  private static String onTheShelf(long count) {
    String it = count == 1 ? "it" : "them";
    return ("%s on the shelf, since the broker does not take %s; everything else goes on. \"tallywire"
            + " shelf\" says why; once that is mended, \"tallywire replay\" sends %s")
        .formatted(count == 1 ? "1 record lies" : count + " records lie", it, it);
  }

  private void set(Concern concern, String sentence) {
    if (sentence.isEmpty()) {
      troubles.remove(concern);
    } else {
      troubles.put(concern, sentence);
    }
  }

  private String withStorage(Word of, String detail) {
    if (storage == Storage.SOUND || of == Word.STOPPED) {
      return detail;
    }
    String all =
        storage == Storage.FULL
            ? "Nothing is acknowledged: there is no space for the journal."
            : "Nothing is acknowledged: the journal cannot be written.";
    return detail.isEmpty() ? all : detail + " " + all;
  }

  private void tellBridge() {
    Instant now = time.now();
    StateRecord before = states.get(StateRecord.BRIDGE);
    Instant since = before != null && before.word() == word ? before.since() : now;
    List<Notice> notices = new ArrayList<>();
    troubles.forEach((concern, sentence) -> notices.add(new Notice(concern, sentence)));
    boolean stopped = word == Word.STOPPED;
    String detail = ownDetail;
    if (!stopped && !notices.isEmpty()) {
      detail = notices.get(0).sentence();
    } else if (detail.isEmpty()) {
      detail = brokerSentence;
    }
    Whole whole =
        new Whole(stopped ? Optional.empty() : broker, storage, standing, List.copyOf(notices));
    toldAt = time.nanos();
    begun = true;
    tell(
        new StateRecord(
            StateRecord.BRIDGE,
            word,
            since,
            now,
            epoch,
            detail,
            Optional.empty(),
            Counts.NONE,
            Optional.of(whole)));
  }

  private void tell(StateRecord state) {
    states.put(state.station(), state);
    byte[] record = RecordFormat.write(state);
    watchers.forEach(watcher -> watcher.state(state.station(), record));
  }
}
