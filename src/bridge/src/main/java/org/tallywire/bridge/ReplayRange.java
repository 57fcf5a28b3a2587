package org.tallywire.bridge;

import java.time.Instant;
import java.time.OffsetDateTime;
import java.time.format.DateTimeParseException;
import java.util.Optional;
import org.tallywire.format.SetupException;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.JournalView;

/**
 * Which entries to replay.
 *
 * @param from the first position
 * @param to the last position
 */
record ReplayRange(long from, long to) {

  /** A bound as people write it: a position, or when an entry was written. */
  private record Bound(String option, String text, Optional<Long> position, Optional<Instant> at) {

    static Bound of(String option, String text) throws SetupException {
      if (text.matches("[1-9][0-9]{0,17}")) {
        return new Bound(option, text, Optional.of(Long.parseLong(text)), Optional.empty());
      }
      try {
        Instant at = OffsetDateTime.parse(text).toInstant();
        return new Bound(option, text, Optional.empty(), Optional.of(at));
      } catch (DateTimeParseException e) {
        throw new SetupException(
            ("%s: \"%s\" is neither a position (1, 2, 3, …) nor a time with its offset, such as"
                    + " 2026-11-30T08:00:00Z or 2026-11-30T09:00:00+01:00")
                .formatted(option, text));
      }
    }
  }

  /**
   * Finds the range in a journal. A time counts by when the journal wrote an entry; the clock may
   * have gone back meanwhile, so all are looked at.
   *
   * @param from position or time of the first
   * @param to position or time of the last; empty: the last there is
   * @throws SetupException if the journal does not have that range
   */
  static ReplayRange of(JournalView journal, String from, Optional<String> to)
      throws SetupException, JournalException {
    Bound first = Bound.of("--from", from);
    Optional<Bound> last =
        to.isPresent() ? Optional.of(Bound.of("--to", to.get())) : Optional.empty();
    long kept = journal.anchor().position() + 1;
    long head = journal.head();
    long begin = first.position().orElse(kept);
    long end = last.flatMap(Bound::position).orElse(head);
    requireThere(journal, first, begin, kept, head);
    if (last.isPresent()) {
      requireThere(journal, last.get(), end, kept, head);
    }
    Optional<Instant> since = first.at();
    Optional<Instant> until = last.flatMap(Bound::at);
    if (since.isPresent() || until.isPresent()) {
      long[] found = {0, 0};
      JournalWalk.over(
          journal::read,
          head,
          entry -> {
            Instant at = entry.writtenAt();
            if (found[0] == 0 && (since.isEmpty() || !at.isBefore(since.get()))) {
              found[0] = entry.position();
            }
            if (until.isEmpty() || !at.isAfter(until.get())) {
              found[1] = entry.position();
            }
          });
      begin = since.isPresent() ? found[0] : begin;
      end = until.isPresent() ? found[1] : end;
    }
    if (begin == 0 || end < begin) {
      throw new SetupException(
          "--from %s%s: no entry lies there; the journal has positions %d to %d"
              .formatted(from, to.map(t -> " --to " + t).orElse(""), kept, head));
    }
    return new ReplayRange(begin, end);
  }

  private static void requireThere(
      JournalView journal, Bound bound, long position, long kept, long head)
      throws SetupException, JournalException {
    if (bound.position().isEmpty()) {
      return;
    }
    if (position < kept) {
      throw new SetupException(
          "%s %s: %s"
              .formatted(
                  bound.option(), bound.text(), Folder.cutOff(journal.anchor()).orElse("removed")));
    }
    if (position > head) {
      throw new SetupException(
          "%s %s: the journal %s"
              .formatted(
                  bound.option(),
                  bound.text(),
                  head < kept ? "has no entry" : "ends at position " + head));
    }
  }
}
