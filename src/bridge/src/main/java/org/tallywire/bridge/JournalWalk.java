package org.tallywire.bridge;

import java.util.List;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;

/** Goes through a journal's entries in their order, a page at a time. */
final class JournalWalk {

  private static final int PAGE = 256;

  private JournalWalk() {}

  /** Reads entries after a position: a journal, or a view of one. */
  interface Pages {
    List<JournalEntry> read(long after, int limit) throws JournalException;
  }

  /** Does something with an entry. */
  interface Visit<E extends Exception> {
    void entry(JournalEntry entry) throws JournalException, E;
  }

  /** Visits every entry, also those that come meanwhile. */
  static <E extends Exception> void over(Pages pages, Visit<E> visit) throws JournalException, E {
    over(pages, Long.MAX_VALUE, visit);
  }

  /**
   * Visits every entry up to a position.
   *
   * @throws JournalException also if retention removes some of them meanwhile
   */
  static <E extends Exception> void over(Pages pages, long last, Visit<E> visit)
      throws JournalException, E {
    long position = 0;
    List<JournalEntry> page = pages.read(position, PAGE);
    while (!page.isEmpty()) {
      for (JournalEntry entry : page) {
        if (entry.position() > last) {
          return;
        }
        visit.entry(entry);
        position = entry.position();
      }
      page = pages.read(position, PAGE);
      requireNext(page, position, last);
    }
  }

  private static void requireNext(List<JournalEntry> page, long position, long last)
      throws JournalException {
    boolean open = last == Long.MAX_VALUE; // its end is where nothing comes any more
    if (page.isEmpty() ? !open && position < last : page.get(0).position() != position + 1) {
      throw JournalException.removedMeanwhile(position + 1);
    }
  }
}
