package org.tallywire.publish;

import java.time.Duration;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.JournalView;

/** A range of a journal's entries, remembered how far it is published; marks nothing anywhere. */
final class ReplayRange implements Source {

  private final JournalView view;
  private final long from;
  private final long wanted;
  private final TimeSource time;
  private final Replay.Listener listener;
  private final List<Replay.Unpublished> unpublished = new ArrayList<>();
  private long to;
  private String removed = "";
  private long accepted;
  private long movedAt;

  ReplayRange(JournalView view, long from, long to, TimeSource time, Replay.Listener listener) {
    this.view = view;
    this.from = from;
    this.wanted = to;
    this.to = to;
    this.time = time;
    this.listener = listener;
    this.accepted = from - 1;
    this.movedAt = time.nanos();
  }

  @Override
  public String identity() throws JournalException {
    return view.identity();
  }

  @Override
  public long begin() {
    return accepted;
  }

  @Override
  public List<JournalEntry> read(long after, int limit) throws JournalException {
    long left = to - after;
    if (left < 1) {
      return List.of();
    }
    List<JournalEntry> entries = view.read(after, (int) Math.min(limit, left));
    if (entries.isEmpty() || entries.get(0).position() != after + 1) {
      to = after; // what is before is still waited for
      removed =
          "positions %d to %d were removed meanwhile, being older than keep-days"
              .formatted(after + 1, Math.min(view.anchor().position(), wanted));
      return List.of();
    }
    return entries;
  }

  @Override
  public boolean awaitBeyond(long position, Duration wait) {
    return false; // the range does not grow: what is waited for comes from the broker
  }

  @Override
  public void accepted(long position) {
    accepted = position;
    movedAt = time.nanos();
    listener.replayed(position, published());
  }

  @Override
  public boolean onShelf(long position) {
    return unpublished.stream().anyMatch(entry -> entry.position() == position);
  }

  @Override
  public void shelve(JournalEntry entry, String reason) {
    unpublished.add(new Replay.Unpublished(entry.position(), entry.id(), reason));
  }

  /** Returns whether all is accepted, or all before what retention has removed meanwhile. */
  boolean finished() {
    return accepted >= to;
  }

  /** Returns for how long nothing was accepted. */
  Duration idle() {
    return Duration.ofNanos(time.nanos() - movedAt);
  }

  /** Returns what became of a range that is finished. */
  Replay.Outcome outcome() {
    return outcome(removed);
  }

  Replay.Outcome outcome(String stopped) {
    List<Replay.Unpublished> inOrder = new ArrayList<>(unpublished);
    inOrder.sort(Comparator.comparingLong(Replay.Unpublished::position));
    return new Replay.Outcome(published(), accepted, List.copyOf(inOrder), stopped);
  }

  private long published() {
    long passed = unpublished.stream().filter(entry -> entry.position() <= accepted).count();
    return accepted - (from - 1) - passed;
  }
}
