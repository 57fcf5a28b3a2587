package org.tallywire.publish;

import java.time.Duration;
import java.util.ArrayDeque;
import java.util.Deque;
import java.util.stream.Stream;
import org.jspecify.annotations.Nullable;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;

/**
 * The place in a source: reads ahead, notes what is accepted, puts aside. What fails is tried again
 * by itself. Used by one thread.
 */
final class Following {

  private static final int READ_AHEAD = 64;
  private static final int CURSOR_ENTRIES = 100;
  private static final Duration CURSOR_EVERY = Duration.ofMillis(100);

  private final Source source;
  private final TimeSource time;
  private final Deque<JournalEntry> ahead = new ArrayDeque<>();
  private final Retry reading;
  private final Retry saving;
  private final Retry shelving;
  private long read;
  private long saved;
  private long savedAt;

  Following(Source source, TimeSource time) throws JournalException {
    this.source = source;
    this.time = time;
    saved = source.begin();
    read = saved;
    savedAt = time.nanos();
    reading = new Retry("reading the journal", time);
    saving = new Retry("moving the cursor", time);
    shelving = new Retry("putting a record on the shelf", time);
  }

  /** Returns the position up to which it is noted that everything is accepted. */
  long saved() {
    return saved;
  }

  /** Returns whether nothing is read ahead. */
  boolean isEmpty() {
    return ahead.isEmpty();
  }

  /** Returns whether the last reading failed a moment ago. */
  boolean failing() {
    return !reading.due();
  }

  /** Returns what failed when it was last tried; empty if nothing did. */
  String failure() {
    return Stream.of(reading, shelving, saving)
        .map(Retry::failure)
        .filter(failure -> !failure.isEmpty())
        .findFirst()
        .orElse("");
  }

  /** Reads on, if nothing is read ahead. */
  void readAhead() {
    if (!ahead.isEmpty() || !reading.due()) {
      return;
    }
    try {
      ahead.addAll(source.read(read, READ_AHEAD));
      reading.worked();
    } catch (JournalException e) {
      reading.failed(e);
    }
    JournalEntry last = ahead.peekLast();
    if (last != null) {
      read = last.position();
    }
  }

  /** Returns the next entry of those read ahead, or null. */
  @Nullable JournalEntry peek() {
    return ahead.peek();
  }

  void next() {
    ahead.remove();
  }

  /** Waits until there may be an entry behind those read. */
  boolean awaitMore(Duration wait) throws InterruptedException {
    return source.awaitBeyond(read, wait);
  }

  /** Puts an entry aside; returns false if that cannot be done now. */
  boolean shelve(JournalEntry entry, String why) {
    if (!shelving.due()) {
      return false;
    }
    try {
      source.shelve(entry, why);
      shelving.worked();
      return true;
    } catch (JournalException e) {
      shelving.failed(e);
      return false;
    }
  }

  /**
   * Notes that everything up to a position is accepted, now and then.
   *
   * @param idle whether nothing is on its way, so that there is time for it
   */
  void saveIfDue(long position, boolean idle) {
    long ready = position - saved;
    long since = time.nanos() - savedAt;
    boolean due =
        ready >= CURSOR_ENTRIES
            || (ready > 0 && ((idle && ahead.isEmpty()) || since > CURSOR_EVERY.toNanos()));
    if (due && saving.due()) {
      save(position);
    }
  }

  /** Notes that everything up to a position is accepted. */
  void save(long position) {
    if (position == saved) {
      return;
    }
    try {
      source.accepted(position);
      saved = position;
      savedAt = time.nanos();
      saving.worked();
    } catch (JournalException e) {
      saving.failed(e);
    }
  }
}
