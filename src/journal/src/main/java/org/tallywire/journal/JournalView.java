package org.tallywire.journal;

import java.nio.file.Files;
import java.nio.file.Path;
import java.sql.SQLException;
import java.util.List;
import java.util.Optional;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;

/**
 * Reads a journal, also one that another process writes at the same time; can change nothing and
 * takes no lock. For commands that look into a data folder. All methods may be called from any
 * thread.
 */
public final class JournalView implements AutoCloseable {

  private static final Logger LOG = LoggerFactory.getLogger(JournalView.class);

  private final Reads reads;

  private JournalView(Reads reads) {
    this.reads = reads;
  }

  /**
   * Opens the journal of a folder for reading. SQLite may put its {@code -wal} and {@code -shm}
   * files beside it, so the folder must be writable unless a bridge runs on it; where there is no
   * journal, nothing is created.
   *
   * @throws JournalException if there is none, or it is damaged or of another layout
   */
  public static JournalView open(Path folder) throws JournalException {
    Path file = folder.resolve("journal.db");
    // asked without opening it: closing a plain file would drop the locks this process has on it
    if (!Files.isRegularFile(file)) {
      throw JournalException.refused(
          "there is no journal in folder %s: no file %s. Check the folder's name"
              .formatted(folder, file));
    }
    NativeLibrary.loadElsewhere();
    HeadMark mark = new HeadMark(folder);
    // before the journal, which may grow meanwhile
    long marked = mark.read().map(Anchor::position).orElse(0L);
    Reads reads = new Reads(new Database(folder, 0));
    boolean opened = false;
    try {
      reads.requireLayout();
      reads.requireSmallTables();
      mark.requireReached(marked, reads.head());
      opened = true;
      return new JournalView(reads);
    } finally {
      if (!opened) {
        close(reads);
      }
    }
  }

  /**
   * Returns up to {@code limit} entries after a position, or after what retention removed, in
   * order; empty at the end.
   */
  public List<JournalEntry> read(long after, int limit) throws JournalException {
    return reads.entries(after, limit, 0);
  }

  /** Returns the last committed position at this moment. */
  public long head() throws JournalException {
    return reads.head();
  }

  /** Returns the identity of the journal itself, 12 hexadecimal digits, made with it. */
  public String identity() throws JournalException {
    return reads.identity();
  }

  /** Returns where retention has cut it off. */
  public Anchor anchor() throws JournalException {
    return reads.anchor();
  }

  /** Returns what followers have put aside, in order of position. */
  public List<Shelved> shelf() throws JournalException {
    return reads.shelf();
  }

  /**
   * Checks every row, and the digests from the anchor to the head of this moment; a sentence saying
   * where they break, if so.
   */
  public Optional<String> verify() throws JournalException {
    return reads.verify(reads.head());
  }

  @Override
  public void close() {
    close(reads);
  }

  private static void close(Reads reads) {
    try {
      reads.close();
    } catch (SQLException e) {
      LOG.warn("closing a reader of a journal failed: {}", e.getMessage());
    }
  }
}
