package org.tallywire.fault;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;
import java.util.TreeSet;
import org.tallywire.journal.Anchor;
import org.tallywire.journal.Draft;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.SequenceMark;
import org.tallywire.journal.Shelved;

/** What a journal must hold: the plain model that the real one is compared with. */
final class Expected {

  private static final int EVERYTHING = 1_000_000;

  private final List<Draft> entries = new ArrayList<>();
  private final Map<String, Long> positions = new TreeMap<>();
  private final Map<String, Long> cursors = new TreeMap<>();
  private final Map<List<String>, Long> marks = new TreeMap<>(Expected::compare);
  private final TreeSet<Long> shelf = new TreeSet<>();
  private long cutLeast;
  private long cutMost;

  private static int compare(List<String> one, List<String> other) {
    return String.join("/", one).compareTo(String.join("/", other));
  }

  Expected copy() {
    Expected copy = new Expected();
    copy.entries.addAll(entries);
    copy.positions.putAll(positions);
    copy.cursors.putAll(cursors);
    copy.marks.putAll(marks);
    copy.shelf.addAll(shelf);
    copy.cutLeast = cutLeast;
    copy.cutMost = cutMost;
    return copy;
  }

  long head() {
    return entries.size();
  }

  void append(List<Draft> drafts) {
    for (Draft draft : drafts) {
      if (positions.putIfAbsent(draft.id(), entries.size() + 1L) == null) {
        entries.add(draft);
      }
    }
  }

  void mark(SequenceMark mark) {
    marks.merge(List.of(mark.source(), mark.epoch()), mark.last(), Math::max);
  }

  void cursor(String follower, long position) {
    cursors.put(follower, position);
  }

  boolean shelved(long position) {
    return shelf.contains(position);
  }

  void shelve(long position) {
    shelf.add(position);
  }

  void unshelve(long position) {
    shelf.remove(position);
  }

  /** All of a cut was done: as far as asked, but not past a cursor or the shelf. */
  void cut(long upTo) {
    cutMost = Math.max(cutMost, allowed(upTo));
    cutLeast = cutMost;
  }

  /** A cut was begun; it is done in several transactions, so it may end anywhere before. */
  void cutBegun(long upTo) {
    cutMost = Math.max(cutMost, allowed(upTo));
  }

  private long allowed(long upTo) {
    long most = Math.min(upTo, head());
    for (long cursor : cursors.values()) {
      most = Math.min(most, cursor);
    }
    return shelf.isEmpty() ? most : Math.min(most, shelf.first() - 1);
  }

  /** Compares; a sentence saying where the journal differs, empty if it does not. */
  Optional<String> difference(Journal journal) throws JournalException {
    if (journal.head() != head()) {
      return Optional.of("head %d instead of %d".formatted(journal.head(), head()));
    }
    Anchor anchor = journal.anchor();
    if (anchor.position() < cutLeast || anchor.position() > cutMost) {
      return Optional.of(
          "cut at %d instead of %d to %d".formatted(anchor.position(), cutLeast, cutMost));
    }
    Optional<String> entries = differentEntries(journal, anchor.position());
    if (entries.isPresent()) {
      return entries;
    }
    List<Long> found = marked(journal);
    Optional<String> broken = journal.verify();
    List<Long> shelved = journal.shelf().stream().map(Shelved::position).toList();
    return different("cursors", cursors, journal.cursors())
        .or(() -> different("shelf", List.copyOf(shelf), shelved))
        .or(() -> different("marks", List.copyOf(marks.values()), found))
        .or(() -> broken.map(sentence -> "chain: " + sentence));
  }

  private Optional<String> differentEntries(Journal journal, long cut) throws JournalException {
    List<JournalEntry> found = journal.read(0, EVERYTHING);
    if (found.size() != head() - cut) {
      return Optional.of(
          "%d entries instead of %d after the cut at %d"
              .formatted(found.size(), head() - cut, cut));
    }
    for (int i = 0; i < found.size(); i++) {
      JournalEntry entry = found.get(i);
      Draft draft = entries.get(Math.toIntExact(cut) + i);
      if (entry.position() != cut + i + 1
          || !entry.id().equals(draft.id())
          || !Arrays.equals(entry.payload(), draft.payload())) {
        return Optional.of(
            "entry %d is \"%s\" where \"%s\" was appended at %d, or its bytes differ"
                .formatted(entry.position(), entry.id(), draft.id(), cut + i + 1));
      }
    }
    return Optional.empty();
  }

  private static Optional<String> different(String what, Object expected, Object found) {
    return found.equals(expected)
        ? Optional.empty()
        : Optional.of("%s %s instead of %s".formatted(what, found, expected));
  }

  private List<Long> marked(Journal journal) throws JournalException {
    List<Long> found = new ArrayList<>();
    for (List<String> source : marks.keySet()) {
      found.add(journal.lastSequence(source.get(0), source.get(1)).orElse(-1));
    }
    return found;
  }
}
