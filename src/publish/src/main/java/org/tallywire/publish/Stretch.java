package org.tallywire.publish;

import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import org.tallywire.journal.JournalEntry;

/** The entries behind the last tally, which the next one will tell of. Used by one thread. */
final class Stretch {

  /** As many entries as one tally tells of at most. */
  static final int LONGEST = 64;

  private static final int MOST_ID_CHARACTERS = 16 * 1024;
  private static final Duration QUIET = Duration.ofMillis(200);
  private static final Duration OLDEST = Duration.ofSeconds(1);

  private final List<String> ids = new ArrayList<>();
  private final List<Long> shelved = new ArrayList<>();
  private int characters;
  private long from;
  private long to;
  private byte[] digest = {};
  private long firstAt;
  private long lastAt;

  void add(JournalEntry entry, boolean onShelf, long now) {
    if (ids.isEmpty()) {
      from = entry.position();
      firstAt = now;
    }
    ids.add(entry.id());
    characters += entry.id().length();
    if (onShelf) {
      shelved.add(entry.position());
    }
    to = entry.position();
    digest = entry.digest();
    lastAt = now;
  }

  boolean isEmpty() {
    return ids.isEmpty();
  }

  /** Returns the position of the last entry. */
  long to() {
    return to;
  }

  /** Returns whether no more may be added before the tally. */
  boolean full(int most) {
    return ids.size() >= most || characters >= MOST_ID_CHARACTERS;
  }

  /** Returns whether a tally is due though there would be room for more. */
  boolean rested(long now) {
    return !ids.isEmpty() && (now - lastAt >= QUIET.toNanos() || now - firstAt >= OLDEST.toNanos());
  }

  /** Returns how long it may be waited for another entry. */
  Duration patience(long now) {
    return isEmpty() ? OLDEST : Duration.ofNanos(Math.max(0, lastAt + QUIET.toNanos() - now));
  }

  Outgoing tally(String topic, String identity, TallyFormat format) {
    byte[] bytes =
        format.write(identity, from, to, List.copyOf(ids), List.copyOf(shelved), digest.clone());
    return new Outgoing(Outgoing.Kind.TALLY, to, topic, bytes, false);
  }

  void clear() {
    ids.clear();
    shelved.clear();
    characters = 0;
  }
}
