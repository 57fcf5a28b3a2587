package org.tallywire.publish;

import java.time.Duration;
import java.util.List;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;

/** Where a delivery has its entries from, and who remembers how far it came. */
interface Source {

  /** Returns the journal's identity. */
  String identity() throws JournalException;

  /** Returns the position after which to begin, and gets ready. */
  long begin() throws JournalException;

  /** Returns up to {@code limit} entries after a position, in order; empty at the end. */
  List<JournalEntry> read(long after, int limit) throws JournalException;

  /** Waits until there is an entry beyond a position; returns whether there is. */
  boolean awaitBeyond(long position, Duration wait) throws InterruptedException;

  /** Remembers that everything up to a position is acknowledged, a tally included. */
  void accepted(long position) throws JournalException;

  /** Returns whether an entry was put aside earlier and is not to be sent. */
  boolean onShelf(long position);

  /** Puts an entry aside that cannot be sent. */
  void shelve(JournalEntry entry, String reason) throws JournalException;
}
