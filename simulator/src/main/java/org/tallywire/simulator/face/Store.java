package org.tallywire.simulator.face;

import java.util.ArrayDeque;
import java.util.Deque;
import java.util.Optional;
import java.util.function.IntSupplier;
import org.tallywire.simulator.face.InstrumentClock.Stamp;
import org.tallywire.simulator.tester.Measurement;

/**
 * The instrument's memory: readings in order until they are acknowledged; when it is full the
 * oldest go, and the range that went is kept in their place (L-24, L-26). Not for several threads.
 */
public final class Store {

  private final IntSupplier capacity;
  private final Deque<Entry> entries = new ArrayDeque<>();
  private long last;
  private int held;

  /** A store for so many readings, at least 1. */
  public Store(int capacity) {
    this(() -> capacity);
  }

  /** A store for as many readings as is said at the time, at least 1. */
  public Store(IntSupplier capacity) {
    this.capacity = capacity;
  }

  /** What stands in the store. */
  public sealed interface Entry {

    /** The sequence number whose acknowledgement covers this entry. */
    long seq();

    /** The first sequence number that it covers. */
    long first();

    /** A reading with its number and time. */
    record Stored(long seq, Stamp stamp, Measurement measurement) implements Entry {
      @Override
      public long first() {
        return seq;
      }
    }

    /** Readings {@code from} to {@code seq} that had to go. */
    record Lost(long from, long seq) implements Entry {
      @Override
      public long first() {
        return from;
      }
    }
  }

  public int capacity() {
    return capacity.getAsInt();
  }

  /** Returns the last number given, 0 if none. */
  public long last() {
    return last;
  }

  /** Returns how many readings are held. */
  public int held() {
    return held;
  }

  /** Numbers and keeps a reading; returns its number. */
  public long add(Stamp stamp, Measurement measurement) {
    while (held >= capacity()) {
      dropOldest();
    }
    entries.add(new Entry.Stored(++last, stamp, measurement));
    held++;
    return last;
  }

  private void dropOldest() {
    Entry first = entries.removeFirst();
    long from = first.seq();
    if (first instanceof Entry.Lost lost) {
      from = lost.from();
      first = entries.removeFirst();
    }
    held--;
    entries.addFirst(new Entry.Lost(from, first.seq()));
  }

  /** Forgets everything up to and including that number. */
  public void forget(long seq) {
    while (!entries.isEmpty() && entries.getFirst().seq() <= seq) {
      if (entries.removeFirst() instanceof Entry.Stored) {
        held--;
      }
    }
    if (!entries.isEmpty() && entries.getFirst() instanceof Entry.Lost lost && lost.from() <= seq) {
      entries.removeFirst();
      entries.addFirst(new Entry.Lost(seq + 1, lost.seq()));
    }
  }

  /** Returns the oldest entry that reaches beyond that number, a lost range cut to what is new. */
  public Optional<Entry> firstAfter(long seq) {
    for (Entry entry : entries) {
      if (entry.seq() > seq) {
        return Optional.of(
            entry instanceof Entry.Lost lost && lost.from() <= seq
                ? new Entry.Lost(seq + 1, lost.seq())
                : entry);
      }
    }
    return Optional.empty();
  }
}
