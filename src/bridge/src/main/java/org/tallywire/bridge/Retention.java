package org.tallywire.bridge;

import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Map;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import java.util.function.LongSupplier;
import java.util.stream.Collectors;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.api.TimeSource;
import org.tallywire.format.StateRecord.Concern;
import org.tallywire.journal.Anchor;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
import org.tallywire.publish.Publisher;

/**
 * Once an hour removes what is older than the configuration wants to keep, except what somebody
 * still needs: a follower that has not come by, an open test set, a record on the shelf. One
 * thread, "retention".
 */
final class Retention implements AutoCloseable {

  private static final Logger log = LoggerFactory.getLogger(Retention.class);
  private static final Duration FIRST = Duration.ofMinutes(3);
  private static final Duration BETWEEN = Duration.ofHours(1);
  private static final Duration CLOSE_LIMIT = Duration.ofSeconds(2);

  /** How much older than wanted entries may get before somebody is told what they wait for. */
  private static final Duration PATIENCE = Duration.ofDays(1);

  private final Journal journal;
  private final LongSupplier examined;
  private final boolean publishing;
  private final Duration keep;
  private final TimeSource time;
  private final StateBoard board;
  private final CountDownLatch closing = new CountDownLatch(1);
  private final Thread thread = new Thread(this::run, "retention");

  /**
   * Makes one that does not run yet.
   *
   * @param examined the last position that judging does not need any more
   * @param publishing whether entries are published, and so wait for the publisher
   * @param keep how long entries are kept
   */
  Retention(
      Journal journal,
      LongSupplier examined,
      boolean publishing,
      Duration keep,
      TimeSource time,
      StateBoard board) {
    this.journal = journal;
    this.publishing = publishing;
    this.examined = examined;
    this.keep = keep;
    this.time = time;
    this.board = board;
    thread.setDaemon(true);
  }

  void start() {
    thread.start();
  }

  @Override
  public void close() {
    closing.countDown();
    try {
      thread.join(CLOSE_LIMIT.toMillis());
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }

  private void run() {
    try {
      Duration wait = FIRST;
      while (!closing.await(wait.toMillis(), TimeUnit.MILLISECONDS)) {
        cut();
        wait = BETWEEN;
      }
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }

  /** Removes what may go now, once. */
  void cut() {
    Instant before = time.now().minus(keep);
    try {
      Anchor old = journal.anchor();
      // the journal waits for every cursor; one that is not there yet would not be waited for
      long published = publishing ? journal.cursor(Publisher.FOLLOWER) : Long.MAX_VALUE;
      Anchor now = journal.cut(Math.min(published, examined.getAsLong()), before);
      if (now.position() > old.position()) {
        log.info(
            "retention: entries {} to {}, written before {}, are removed",
            old.position() + 1,
            now.position(),
            before);
      }
      board.trouble(Concern.RETENTION, hindrance(now, before.minus(PATIENCE)));
    } catch (JournalException e) {
      log.error("retention: nothing, or not all, was removed; tried again in an hour", e);
    } catch (RuntimeException e) {
      log.error("retention: a fault of ours; tried again in an hour", e);
    }
  }

  /** Says what entries that should have gone long ago wait for; empty if there are none. */
  private String hindrance(Anchor anchor, Instant before) throws JournalException {
    List<JournalEntry> next = journal.read(anchor.position(), 1);
    if (next.isEmpty() || !next.get(0).writtenAt().isBefore(before)) {
      return "";
    }
    long first = next.get(0).position();
    String behind =
        journal.cursors().entrySet().stream()
            .filter(cursor -> cursor.getValue() < first)
            .map(Map.Entry::getKey)
            .sorted()
            .map(Retention::inWords)
            .collect(Collectors.joining(", "));
    String cause =
        behind.isEmpty() ? "an open test set or the shelf needs it" : "it waits for " + behind;
    return "Entry %d of %s is older than keep-days and cannot be removed: %s"
        .formatted(first, next.get(0).writtenAt(), cause);
  }

  private static String inWords(String cursor) {
    return cursor.startsWith(Publisher.CONSUMER)
        ? "consumer \"%s\" to confirm it".formatted(cursor.substring(Publisher.CONSUMER.length()))
        : "the " + cursor;
  }
}
