package org.tallywire.web;

import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.JournalEntry;

/**
 * The clients that are connected, the latest state of each station, and how far the journal has
 * been handed out. Nothing here blocks. Safe for use by many threads.
 */
final class Audience {

  static final int MAX_CLIENTS = 32;

  private final TimeSource time;
  private final Set<Mailbox> mailboxes = new LinkedHashSet<>();
  private final Map<String, byte[]> states = new LinkedHashMap<>();
  private long followed;
  private boolean closed;

  Audience(TimeSource time) {
    this.time = time;
  }

  /** Returns a mailbox that holds all current states, or nothing when there are too many. */
  synchronized Optional<Mailbox> admit() {
    if (closed || mailboxes.size() >= MAX_CLIENTS) {
      return Optional.empty();
    }
    Mailbox mailbox = new Mailbox(time);
    states.forEach(mailbox::offerState);
    mailboxes.add(mailbox);
    return Optional.of(mailbox);
  }

  synchronized void leave(Mailbox mailbox) {
    mailboxes.remove(mailbox);
  }

  synchronized int size() {
    return mailboxes.size();
  }

  synchronized void publishState(String station, byte[] payload) {
    states.put(station, payload);
    mailboxes.forEach(mailbox -> mailbox.offerState(station, payload));
  }

  /** Sets the position from which on {@link #deliver} will be called. */
  synchronized void startAt(long position) {
    followed = position;
  }

  synchronized long followed() {
    return followed;
  }

  synchronized void deliver(JournalEntry entry) {
    mailboxes.forEach(mailbox -> mailbox.offer(entry));
    followed = entry.position();
  }

  /**
   * Makes a client live if it has everything up to where the journal was handed out, so that no
   * entry falls between its own reading and the first one offered.
   */
  synchronized boolean join(Mailbox mailbox, long position) {
    if (position < followed) {
      return false;
    }
    mailbox.goLive();
    return true;
  }

  /** Ends all streams; the clients may come again. */
  synchronized void dismiss() {
    mailboxes.forEach(Mailbox::close);
  }

  /** Ends all streams and admits nobody any more. */
  synchronized void close() {
    closed = true;
    dismiss();
  }
}
