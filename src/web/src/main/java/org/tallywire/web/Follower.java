package org.tallywire.web;

import java.time.Duration;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;

/** The one thread that reads new journal entries and hands them to the audience. */
final class Follower {

  private static final Logger LOG = LoggerFactory.getLogger(Follower.class);
  private static final Duration WAIT = Duration.ofMillis(500);
  private static final int BATCH = 256;

  private final Journal journal;
  private final Audience audience;
  private final TimeSource time;
  private final CountDownLatch stop = new CountDownLatch(1);
  private final Thread thread = new Thread(this::run, "live-page-follower");

  Follower(Journal journal, Audience audience, TimeSource time) {
    this.journal = journal;
    this.audience = audience;
    this.time = time;
    thread.setDaemon(true);
  }

  void start() {
    audience.startAt(journal.head());
    thread.start();
  }

  private void run() {
    try {
      while (stop.getCount() > 0) {
        followOnce();
      }
    } catch (InterruptedException e) {
      LOG.debug("live page: following the journal was interrupted, which ends it");
    }
  }

  private void followOnce() throws InterruptedException {
    long from = audience.followed();
    long began = time.nanos();
    try {
      if (journal.awaitBeyond(from, WAIT)) {
        for (JournalEntry entry : journal.read(from, BATCH)) {
          audience.deliver(entry);
        }
      } else if (time.nanos() - began < WAIT.toNanos() / 2) {
        pause(); // a closed journal no longer waits
      }
    } catch (JournalException e) {
      LOG.error(
          "live page: following the journal after entry {} failed; every page is disconnected, so"
              + " that none looks live, and it is tried again in {} ms",
          from,
          WAIT.toMillis(),
          e);
      audience.dismiss();
      pause();
    }
  }

  private void pause() throws InterruptedException {
    boolean ends = stop.await(WAIT.toMillis(), TimeUnit.MILLISECONDS);
    LOG.trace("live page: paused, ends {}", ends);
  }

  /** Ends the thread, waiting for it at most the given time. */
  void close(Duration wait) throws InterruptedException {
    stop.countDown();
    thread.interrupt(); // it may be waiting for an entry
    if (thread.isAlive()) {
      thread.join(wait.toMillis());
    }
  }
}
