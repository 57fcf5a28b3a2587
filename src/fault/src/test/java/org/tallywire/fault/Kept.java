package org.tallywire.fault;

import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.JournalView;

/** What one bridge's journal holds: beside the bridge while it runs, and once it has ended. */
final class Kept {

  private static final int PAGE = 1000;

  private final Path data;
  private final List<Told> told = new ArrayList<>();
  private final Set<String> covered = new HashSet<>();

  Kept(Path data) {
    this.data = data;
  }

  /** Returns all records by now, in order, read beside the bridge. */
  List<Told> beside() throws JournalException {
    if (Files.exists(data.resolve("journal.db"))) {
      try (JournalView view = JournalView.open(data)) {
        readOn(view::read);
      }
    }
    return told;
  }

  /** Returns whether this reading was there, or declared, when the records were last read. */
  boolean covers(Taken reading) {
    return covered.contains(reading.key());
  }

  /**
   * Opens the journal of a bridge that has ended, as the next bridge would, and returns all
   * records, read anew.
   *
   * @throws JournalException if it is damaged
   */
  List<Told> after() throws JournalException {
    told.clear();
    try (Journal journal = Journal.open(data, TimeSource.system())) {
      Optional<String> broken = journal.verify();
      if (broken.isPresent()) {
        throw new AssertionError("the chain of digests is broken: " + broken.get());
      }
      readOn(journal::read);
    }
    return told;
  }

  private interface Source {
    List<JournalEntry> read(long after, int limit) throws JournalException;
  }

  private void readOn(Source from) throws JournalException {
    List<JournalEntry> page;
    do {
      page = from.read(told.size(), PAGE);
      for (JournalEntry entry : page) {
        Told record = Told.of(new String(entry.payload(), StandardCharsets.UTF_8));
        if (entry.position() != told.size() + 1
            || !record.id().equals(entry.id())
            || !record.kind().equals(entry.kind())) {
          throw new AssertionError(
              "entry %d, id %s, is %s".formatted(entry.position(), entry.id(), record.text()));
        }
        told.add(record);
        covered.addAll(record.covers());
      }
    } while (!page.isEmpty());
  }
}
