package org.tallywire.publish;

import java.util.ArrayDeque;
import java.util.Deque;
import java.util.Optional;

/**
 * What is on its way to the broker, in order; knows up to which tally everything has arrived. Used
 * by one thread.
 */
final class Window {

  /** One message on its way. */
  static final class Slot {
    private final Outgoing message;
    private final long sentAt;
    private boolean done;

    private Slot(Outgoing message, long sentAt) {
      this.message = message;
      this.sentAt = sentAt;
    }

    Outgoing message() {
      return message;
    }

    long sentAt() {
      return sentAt;
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

  Slot add(Outgoing message, long now) {
    Slot slot = new Slot(message, now);
    slots.add(slot);
    return slot;
  }

  /** Takes back the slot added last; its message was not sent after all. */
  void takeBack(Slot slot) {
    slots.removeLastOccurrence(slot);
  }

  /** Notes that a message has arrived. */
  void done(Slot slot) {
    slot.done = true;
    for (Slot first = slots.peek(); first != null && first.done; first = slots.peek()) {
      if (first.message.kind() == Outgoing.Kind.TALLY) {
        prefix = Math.max(prefix, first.message.position());
      }
      slots.remove();
    }
  }

  /** Returns the position of the last tally up to which everything has arrived. */
  long prefix() {
    return prefix;
  }

  boolean isEmpty() {
    return slots.isEmpty();
  }

  int size() {
    return slots.size();
  }

  /** Returns the message on its way, if it is the only one. */
  Optional<Slot> alone() {
    return slots.size() == 1 ? Optional.of(slots.element()) : Optional.empty();
  }

  /**
   * Returns for how many nanoseconds the oldest message has been on its way, 0 if there is none.
   */
  long oldest(long now) {
    Slot first = slots.peek();
    return first == null ? 0 : now - first.sentAt;
  }
}
