package org.tallywire.web;

import java.time.Duration;
import java.util.ArrayDeque;
import java.util.ArrayList;
import java.util.Deque;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.TimeUnit;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.JournalEntry;

/**
 * What waits to be sent to one client: a bounded row of entries and the latest state of each
 * station. Offering never blocks. When the row is full it is dropped and the mailbox stops being
 * live; the client then reads the journal itself. Safe for use by many threads.
 */
final class Mailbox {

  static final int CAPACITY = 256;

  private final TimeSource time;
  private final Deque<JournalEntry> entries = new ArrayDeque<>();
  private final Map<String, byte[]> states = new LinkedHashMap<>();
  private boolean live;
  private boolean closed;

  Mailbox(TimeSource time) {
    this.time = time;
  }

  /** What was waiting; not live means that entries were, or may have been, left out. */
  record Post(List<byte[]> states, List<JournalEntry> entries, boolean live, boolean closed) {}

  synchronized void goLive() {
    live = true;
  }

  synchronized void offer(JournalEntry entry) {
    if (!live) {
      return;
    }
    if (entries.size() == CAPACITY) {
      entries.clear();
      live = false;
    } else {
      entries.add(entry);
    }
    notifyAll();
  }

  synchronized void offerState(String station, byte[] payload) {
    states.put(station, payload);
    notifyAll();
  }

  synchronized void close() {
    closed = true;
    notifyAll();
  }

  /** Takes all that is waiting; waits for it until the time is up or the mailbox is not live. */
  synchronized Post take(Duration wait) throws InterruptedException {
    long deadline = time.nanos() + wait.toNanos();
    long left = wait.toNanos();
    while (left > 0 && live && !closed && entries.isEmpty() && states.isEmpty()) {
      TimeUnit.NANOSECONDS.timedWait(this, left);
      left = deadline - time.nanos();
    }
    Post post = new Post(new ArrayList<>(states.values()), new ArrayList<>(entries), live, closed);
    states.clear();
    entries.clear();
    return post;
  }
}
