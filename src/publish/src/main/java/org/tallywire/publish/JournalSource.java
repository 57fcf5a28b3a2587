package org.tallywire.publish;

import java.time.Duration;
import java.util.List;
import java.util.Set;
import java.util.concurrent.ConcurrentHashMap;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.Shelved;

/**
 * The journal as the publisher follows it, with its cursor and its shelf. Used by the publisher's
 * thread; entries are taken off the shelf from any thread.
 */
final class JournalSource implements Source {

  private static final Logger LOG = LoggerFactory.getLogger(JournalSource.class);

  private final Journal journal;
  private final Progress progress;
  private final Set<Long> shelf = ConcurrentHashMap.newKeySet();
  private boolean known;

  JournalSource(Journal journal, Progress progress) {
    this.journal = journal;
    this.progress = progress;
  }

  @Override
  public String identity() {
    return journal.identity();
  }

  @Override
  public synchronized long begin() throws JournalException {
    if (!known) {
      for (Shelved shelved : journal.shelf()) {
        if (shelved.follower().equals(Publisher.FOLLOWER)) {
          shelf.add(shelved.position());
        }
      }
      progress.shelved(shelf.size());
      if (!journal.cursors().containsKey(Publisher.FOLLOWER)) {
        // retention waits for nobody who never moved
        journal.moveCursor(Publisher.FOLLOWER, journal.anchor().position());
      }
      known = true;
    }
    long position = journal.cursor(Publisher.FOLLOWER);
    progress.delivered(position);
    return position;
  }

  @Override
  public List<JournalEntry> read(long after, int limit) throws JournalException {
    return journal.read(after, limit);
  }

  @Override
  public boolean awaitBeyond(long position, Duration wait) throws InterruptedException {
    return journal.awaitBeyond(position, wait);
  }

  @Override
  public void accepted(long position) throws JournalException {
    journal.moveCursor(Publisher.FOLLOWER, position);
    progress.delivered(position);
  }

  @Override
  public boolean onShelf(long position) {
    return shelf.contains(position);
  }

  @Override
  public synchronized void shelve(JournalEntry entry, String reason) throws JournalException {
    journal.shelve(Publisher.FOLLOWER, entry.position(), reason);
    shelf.add(entry.position());
    progress.shelved(shelf.size());
    LOG.error(
        "journal position {} (id \"{}\") is put on the shelf and not published: {}. It stays in the journal",
        entry.position(),
        entry.id(),
        reason);
  }

  /** Takes an entry off the shelf, if it is there. */
  synchronized void takeOff(long position) throws JournalException {
    if (known && !shelf.contains(position)) {
      return;
    }
    journal.unshelve(Publisher.FOLLOWER, position);
    shelf.remove(position);
    progress.shelved(shelf.size());
    LOG.info("journal position {} was replayed and is taken off the shelf", position);
  }
}
