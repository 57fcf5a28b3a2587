package org.tallywire.publish;

import java.util.ArrayDeque;
import java.util.Deque;

/**
 * What is on its way to the broker, in order; knows up to where everything has arrived. Used by one
 * thread.
 */
final class Window {

  /** One message on its way; position 0 for one that is not of the journal. */
  static final class Slot {
    private final long position;
    private final long sentAt;
    private boolean done;

    private Slot(long position, long sentAt) {
      this.position = position;
      this.sentAt = sentAt;
    }

    boolean ofJournal() {
      return position > 0;
    }
  }

  private final Deque<Slot> slots = new ArrayDeque<>();
  private long prefix;

  /**
   * @param prefix the position up to which everything had arrived before
   */
  Window(long prefix) {
    this.prefix = prefix;
  }

  Slot add(long position, long now) {
    Slot slot = new Slot(position, now);
    slots.add(slot);
    return slot;
  }

  /** Takes back the slot added last; its message was not sent after all. */
  void takeBack(Slot slot) {
    slots.removeLastOccurrence(slot);
  }

  /** Notes that a message has arrived, or need not. */
  void done(Slot slot) {
    slot.done = true;
    for (Slot first = slots.peek(); first != null && first.done; first = slots.peek()) {
      prefix = Math.max(prefix, first.position);
      slots.remove();
    }
  }

  /** Returns the journal position up to which every entry has arrived. */
  long prefix() {
    return prefix;
  }

  boolean isEmpty() {
    return slots.isEmpty();
  }

  int size() {
    return slots.size();
  }

  /**
   * Returns for how many nanoseconds the oldest message has been on its way, 0 if there is none.
   */
  long oldest(long now) {
    Slot first = slots.peek();
    return first == null ? 0 : now - first.sentAt;
  }
}
