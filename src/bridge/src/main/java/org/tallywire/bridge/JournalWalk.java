package org.tallywire.bridge;

import java.util.List;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;

/** Goes through a journal from its first entry to its last, a page at a time. */
final class JournalWalk {

  private static final int PAGE = 256;

  private JournalWalk() {}

  /** Does something with an entry. */
  interface Visit<E extends Exception> {
    void entry(JournalEntry entry) throws JournalException, E;
  }

  static <E extends Exception> void over(Journal journal, Visit<E> visit)
      throws JournalException, E {
    long position = 0;
    List<JournalEntry> page = journal.read(position, PAGE);
    while (!page.isEmpty()) {
      for (JournalEntry entry : page) {
        visit.entry(entry);
        position = entry.position();
      }
      page = journal.read(position, PAGE);
    }
  }
}
