package org.tallywire.journal;

import java.io.IOException;
import java.nio.file.Path;
import java.sql.SQLException;
import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.api.TimeSource;

/**
 * The append-only store everybody follows: what {@link #append} has returned for survives a power
 * loss, in order, on a disk that obeys fsync. All methods may be called from any thread.
 *
 * <p>One SQLite file {@code journal.db} (write-ahead log, synchronous FULL) in a folder of its own,
 * on a local disk, used by one process at a time. Copy it only with SQLite's own backup; opening it
 * as a plain file from this process would drop SQLite's locks.
 *
 * <table>
 * <caption>Layout version 2 ({@code PRAGMA user_version}); shared/journal.md says more</caption>
 * <tr><th>table</th><th>column</th><th>content</th></tr>
 * <tr><td>entry</td><td>position</td><td>1, 2, 3, ... without a hole; key</td></tr>
 * <tr><td></td><td>id</td><td>the record's identity; unique</td></tr>
 * <tr><td></td><td>kind, station</td><td>as the draft said</td></tr>
 * <tr><td></td><td>payload</td><td>the record's bytes as they came</td></tr>
 * <tr><td></td><td>digest</td><td>SHA-256 over the previous digest (first: 32 zero bytes) and the
 *     payload; the other columns are not in it</td></tr>
 * <tr><td></td><td>written_at</td><td>UTC, RFC 3339</td></tr>
 * <tr><td>cursor</td><td>follower</td><td>a follower's name; key</td></tr>
 * <tr><td></td><td>position</td><td>the last entry it is done with</td></tr>
 * <tr><td>sequence</td><td>source, epoch</td><td>whose numbers; key</td></tr>
 * <tr><td></td><td>last</td><td>the highest number that is durable; never lowered</td></tr>
 * <tr><td>own_epoch</td><td>source</td><td>an instrument without numbers of its own; key</td></tr>
 * <tr><td></td><td>epoch</td><td>12 hexadecimal digits, made once</td></tr>
 * <tr><td>shelf</td><td>follower, position</td><td>who put which entry aside; key</td></tr>
 * <tr><td></td><td>id, kind, station</td><td>the entry's</td></tr>
 * <tr><td></td><td>reason, at</td><td>why, a sentence; when, UTC, RFC 3339</td></tr>
 * <tr><td>removed</td><td>id</td><td>an entry that retention removed; key</td></tr>
 * <tr><td></td><td>position</td><td>where it was</td></tr>
 * <tr><td>anchor</td><td>position, digest</td><td>the last entry removed; at first 0 and zero bytes;
 *     one row</td></tr>
 * <tr><td>journal</td><td>identity</td><td>12 hexadecimal digits; one row</td></tr>
 * <tr><td></td><td>created_at</td><td>UTC, RFC 3339</td></tr>
 * <tr><td>all</td><td>guard</td><td>CRC-32C over the row's other columns, see {@code Guard}</td></tr>
 * </table>
 *
 * <p>Whatever is read is checked against its guard, an entry also against the digest of the entry
 * before it; what fails is never returned. Beside the file: {@code journal.lock}, {@code
 * journal.head} (the last committed position, which shows that the end of the file is gone) and
 * {@code reserve} (space that is given up when the disk is full).
 */
public final class Journal implements AutoCloseable {

  private static final Logger LOG = LoggerFactory.getLogger(Journal.class);
  private static final Duration LONGEST_CLOSE = Duration.ofSeconds(10);

  private final Database database;
  private final FolderLock lock;
  private final JournalWriter writer;
  private final Reads reads;
  private final Head head = new Head();

  private String identity = "";
  private boolean closed;

  private Journal(Database database, FolderLock lock, TimeSource time, Storage storage) {
    this.database = database;
    this.lock = lock;
    HeadMark mark = new HeadMark(database.folder());
    this.writer = new JournalWriter(database, time, storage, mark, head::set);
    this.reads = new Reads(database);
  }

  /**
   * Opens the journal in a folder, which is created (mode 0700) if need be, checks the file and
   * starts the writer.
   *
   * @throws JournalException if the folder is in use, the file damaged, of another layout or not on
   *     a disk that keeps what it was told to keep; nothing is repaired
   */
  public static Journal open(Path folder, TimeSource time) throws JournalException {
    return open(folder, time, (state, sentence) -> {});
  }

  /** Opens likewise; the listener hears when the disk gets full or fails, and when it is well. */
  public static Journal open(Path folder, TimeSource time, StorageListener listener)
      throws JournalException {
    return open(folder, time, listener, 0);
  }

  /** Opens with a limit on the number of database pages, 0 for none. */
  static Journal open(Path folder, TimeSource time, StorageListener listener, int maxPages)
      throws JournalException {
    Path real;
    try {
      Folders.create(folder);
      real = folder.toRealPath();
    } catch (IOException e) {
      throw new JournalException(
          "could not create the journal's folder %s: %s. Check its path and the rights on its parent"
              .formatted(folder, e),
          e);
    }
    FolderLock lock = FolderLock.take(real);
    Database database = new Database(real, maxPages);
    boolean opened = false;
    try {
      NativeLibrary.load(real);
      Storage storage = new Storage(database.file(), new Reserve(real), listener);
      Journal journal = new Journal(database, lock, time, storage);
      journal.start();
      opened = true;
      return journal;
    } catch (SQLException | IOException e) {
      throw JournalException.reading("open the journal", database.file(), e);
    } finally {
      if (!opened) {
        release(lock);
      }
    }
  }

  private void start() throws SQLException, JournalException {
    boolean started = false;
    try {
      identity = writer.start();
      reads.requireSmallTables();
      started = true;
    } finally {
      if (!started) {
        end();
      }
    }
  }

  /**
   * Appends all drafts and marks or none, and returns when they are durable.
   *
   * @throws JournalException if they could not be written, or this is not known within 30 s; either
   *     way the same call may be repeated without doubling anything
   */
  public Appended append(List<Draft> drafts, List<SequenceMark> marks) throws JournalException {
    List<Draft> entries = List.copyOf(drafts);
    List<SequenceMark> numbers = List.copyOf(marks);
    return writer.write(
        "append %d entries (first id \"%s\") and %d sequence marks"
            .formatted(
                entries.size(), entries.isEmpty() ? "" : entries.get(0).id(), numbers.size()),
        !entries.isEmpty(),
        connection -> {
          Appended appended = connection.append(entries);
          for (SequenceMark mark : numbers) {
            connection.mark(mark);
          }
          return appended;
        });
  }

  /**
   * Appends all drafts and moves the follower's cursor, both or neither, and returns when durable.
   *
   * @param position a committed position, 0 to {@link #head()}
   * @throws JournalException as {@link #append}
   */
  public Appended appendFrom(String follower, long position, List<Draft> drafts)
      throws JournalException {
    requireCommitted(position);
    List<Draft> entries = List.copyOf(drafts);
    return writer.write(
        "append %d entries of follower \"%s\" and move its cursor to %d"
            .formatted(entries.size(), follower, position),
        !entries.isEmpty(),
        connection -> {
          connection.moveCursor(follower, position);
          return connection.append(entries);
        });
  }

  /**
   * Remembers that the follower is done with everything up to a position; it may go back, to have
   * entries again.
   *
   * @param position a committed position, 0 to {@link #head()}
   */
  public void moveCursor(String follower, long position) throws JournalException {
    requireCommitted(position);
    writer.write(
        "move the cursor of follower \"%s\" to %d".formatted(follower, position),
        false,
        connection -> {
          connection.moveCursor(follower, position);
          return position;
        });
  }

  /** Forgets a follower and its place, so that retention does not wait for it any more. */
  public void forget(String follower) throws JournalException {
    writer.write(
        "forget the follower \"%s\"".formatted(follower),
        false,
        connection -> {
          connection.forget(follower);
          return follower;
        });
  }

  /** Returns the last position the follower is done with, 0 if it never moved. */
  public long cursor(String follower) throws JournalException {
    return reads.cursor(follower);
  }

  /**
   * Returns up to {@code limit} entries after a position, or after what retention removed, in
   * order; empty at the end.
   */
  public List<JournalEntry> read(long after, int limit) throws JournalException {
    return reads.entries(after, limit, head());
  }

  /** Returns the entry with an id. */
  public Optional<JournalEntry> find(String id) throws JournalException {
    return reads.find(id);
  }

  /** Returns the highest durable number of a source's epoch; empty if none was ever marked. */
  public OptionalLong lastSequence(String source, String epoch) throws JournalException {
    return reads.lastSequence(source, epoch);
  }

  /** Returns the numbering kept for a source that has none of its own; made at the first call. */
  public OwnEpoch ownEpoch(String source) throws JournalException {
    return writer.write(
        "make or read the own epoch of source \"%s\"".formatted(source),
        false,
        connection -> connection.ownEpoch(source));
  }

  /**
   * Returns the last committed position, 0 if there is none, or while the log that the opening
   * found could not be settled yet.
   */
  public long head() {
    return head.get();
  }

  /**
   * Waits until there is an entry beyond a position, and returns whether there is; ends early, and
   * no longer waits, once the journal is closed.
   */
  public boolean awaitBeyond(long position, Duration wait) throws InterruptedException {
    return head.awaitBeyond(position, wait);
  }

  /**
   * Checks every row, and the digests from the anchor to the present head, and returns a sentence
   * saying where they break; empty if they do not. Writing all of it anew does not show.
   */
  public Optional<String> verify() throws JournalException {
    return reads.verify(head());
  }

  /**
   * Returns the identity of the journal itself, 12 hexadecimal digits, made with it, and made anew
   * when it was put back from a copy.
   */
  public String identity() {
    return identity;
  }

  /** Returns the place of every follower that ever moved, by its name. */
  public Map<String, Long> cursors() throws JournalException {
    return reads.cursors();
  }

  /** Returns whether an entry with this id is here, or was before retention removed it. */
  public boolean knows(String id) throws JournalException {
    return reads.knows(id);
  }

  /** Puts an entry aside for a follower; putting it aside again changes nothing. */
  public void shelve(String follower, long position, String reason) throws JournalException {
    writer.write(
        "shelve position %d for follower \"%s\"".formatted(position, follower),
        false,
        connection -> {
          connection.shelve(follower, position, reason);
          return position;
        });
  }

  /** Takes an entry off a follower's shelf, if it is there. */
  public void unshelve(String follower, long position) throws JournalException {
    writer.write(
        "take position %d off the shelf of follower \"%s\"".formatted(position, follower),
        false,
        connection -> {
          connection.unshelve(follower, position);
          return position;
        });
  }

  /** Returns what followers have put aside, in order of position. */
  public List<Shelved> shelf() throws JournalException {
    return reads.shelf();
  }

  /**
   * Removes entries from the beginning up to a position, but none that was written at or after
   * {@code before}, that a cursor has not passed, or that lies on a shelf; returns where it is cut
   * now. Ids of removed entries stay known, so that a late repeat is still a repeat. A follower
   * that never moved holds nothing back. Works in small transactions, between which others write;
   * the space is used again by later entries, the file gets no smaller.
   */
  public Anchor cut(long upTo, Instant before) throws JournalException {
    Retention retention = new Retention(upTo, before);
    Anchor cut = anchor();
    for (long last = -1; last < cut.position(); ) {
      last = cut.position();
      cut = writer.write("remove entries after %d".formatted(last), false, retention::remove);
    }
    return cut;
  }

  /** Returns where retention has cut it off. */
  public Anchor anchor() throws JournalException {
    return reads.anchor();
  }

  /**
   * Finishes the writes that wait (at most 10 s), closes the file and lets others have the folder;
   * calling it again does nothing.
   */
  @Override
  public void close() {
    synchronized (this) {
      if (closed) {
        return;
      }
      closed = true;
    }
    if (end()) {
      release(lock);
    } else {
      // whoever opened it now would write beside the old writer
      LOG.error(
          "the journal {} has not finished writing; its lock is kept until this process ends",
          database.file());
    }
  }

  /** Ends readers and the writer; returns whether the writer ended in time. */
  private boolean end() {
    head.end();
    // before the writer: SQLite folds the log into the file only if a writer closes last
    try {
      reads.close();
    } catch (SQLException e) {
      LOG.warn("closing a reader of the journal {} failed: {}", database.file(), e.getMessage());
    }
    try {
      return writer.close(LONGEST_CLOSE);
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
      return false;
    }
  }

  /** Returns how many transactions were committed since the opening. */
  long commits() {
    return writer.commits();
  }

  private void requireCommitted(long position) throws JournalException {
    if (position > head()) {
      // a start that could not settle the log has told no head yet; a write does it or says why not
      writer.write("settle the log of the journal", false, WriteConnection::head);
    }
    if (position < 0 || position > head()) {
      throw new IllegalArgumentException(
          "a cursor at %d, where the committed positions are 0 to %d".formatted(position, head()));
    }
  }

  private static void release(FolderLock lock) {
    try {
      lock.close();
    } catch (IOException e) {
      LOG.warn("releasing the journal's lock failed: {}", e.getMessage());
    }
  }
}
