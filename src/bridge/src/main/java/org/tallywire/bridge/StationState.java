package org.tallywire.bridge;

import java.time.Duration;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.Optional;
import org.tallywire.api.Instrument;
import org.tallywire.api.TimeSource;
import org.tallywire.format.StateRecord.Counts;
import org.tallywire.format.StateRecord.Word;

/** What one station tells about itself. Safe for use by its thread and the one that stops it. */
final class StationState {

  private static final Duration REFRESH = Duration.ofSeconds(1);
  private static final Duration SIGN_OF_LIFE = Duration.ofSeconds(5);
  private static final Duration NOTICE_SHOWN = Duration.ofMinutes(10);

  private final String station;
  private final boolean gapsSeen;
  private final StateBoard board;
  private final TimeSource time;

  private Word word = Word.CONNECTING;
  private String detail = "";
  private final Throttle faultLines = new Throttle();
  private final Throttle gapLines = new Throttle();
  private final Throttle noticeLines = new Throttle();
  private final Map<Topic, Notice> notices = new LinkedHashMap<>();
  private String lastTrouble = "";
  private String held = "";
  private Optional<Instrument> instrument = Optional.empty();
  private long readings;
  private long faults;
  private long gaps;
  private long repeats;
  private Counts told = Counts.NONE;
  private long toldAt;

  /**
   * @param gapsSeen whether a reading that is lost on the way leaves a trace
   */
  StationState(String station, boolean gapsSeen, StateBoard board, TimeSource time) {
    this.station = station;
    this.gapsSeen = gapsSeen;
    this.board = board;
    this.time = time;
  }

  /** What a notice is about; a newer one on the same replaces it. */
  enum Topic {
    INSTRUMENT,
    SETTINGS,
    RESTART
  }

  private record Notice(String sentence, long until) {}

  /** Shows a sentence beside the state for ten minutes, or until the next one on that topic. */
  synchronized void notice(Topic topic, String sentence) {
    notices.remove(topic);
    notices.put(topic, new Notice(sentence, time.nanos() + NOTICE_SHOWN.toNanos()));
    tell();
  }

  synchronized void set(Word newWord, String newDetail) {
    if (word == Word.STOPPED) {
      return; // a thread that ends late does not bring a stopped station back
    }
    word = newWord;
    detail = newDetail;
    tell();
  }

  /** Says that an attempt to open begins; trouble that lasts is not hidden by it. */
  synchronized void connecting(String newDetail) {
    if (word != Word.DOWN) {
      set(Word.CONNECTING, newDetail);
    }
  }

  synchronized void connected(Instrument who) {
    instrument = Optional.of(who);
    lastTrouble = "";
    set(Word.CONNECTED, "");
  }

  synchronized boolean isConnected() {
    return word == Word.CONNECTED;
  }

  /** Sets the state to down; tells whether that is news, so that a log line is due. */
  synchronized boolean down(String sentence) {
    boolean news = !sentence.equals(lastTrouble);
    lastTrouble = sentence;
    set(Word.DOWN, sentence);
    return news;
  }

  synchronized void detail(String words) {
    set(word, words);
  }

  /** Says what is held in memory alone; empty: nothing. */
  synchronized void held(String sentence) {
    if (!sentence.equals(held)) {
      held = sentence;
      set(word, detail);
    }
  }

  synchronized void counted(Recorder.Counted counted) {
    readings += counted.readings();
    gaps += counted.gaps();
  }

  /** Counts a reading that came again and was dropped. */
  synchronized void repeated() {
    repeats++;
  }

  /** Counts a fault; returns what its log line is to say besides, if it gets one. */
  synchronized Optional<String> faulted() {
    faults++;
    return faultLines.next();
  }

  /** Returns what the log line of a gap just found is to say besides, if it gets one. */
  Optional<String> gapFound() {
    return gapLines.next();
  }

  /** Likewise of a notice. */
  Optional<String> noticed() {
    return noticeLines.next();
  }

  /** Tells the counts again if they changed, once a second at most, and every 5 s in any case. */
  synchronized void refresh() {
    long age = time.nanos() - toldAt;
    boolean changed = !told.equals(counts());
    if (word == Word.STOPPED) {
      return;
    }
    if ((changed && age >= REFRESH.toNanos()) || age >= SIGN_OF_LIFE.toNanos()) {
      tell();
    }
  }

  private Counts counts() {
    return new Counts(readings, faults, gaps, gapsSeen, repeats);
  }

  private void tell() {
    told = counts();
    toldAt = time.nanos();
    board.station(station, word, withNotices(), instrument, told);
  }

  private String withNotices() {
    notices.values().removeIf(notice -> toldAt - notice.until() >= 0);
    StringBuilder all = new StringBuilder(detail);
    for (Notice notice : notices.values()) {
      append(all, notice.sentence());
    }
    append(all, held);
    return all.toString();
  }

  private static void append(StringBuilder all, String sentence) {
    if (!sentence.isEmpty()) {
      all.append(all.isEmpty() ? "" : "; ").append(sentence);
    }
  }
}
