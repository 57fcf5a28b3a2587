package org.tallywire.journal;

import java.io.IOException;
import java.nio.file.Path;
import java.sql.SQLException;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.TimeoutException;
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
 * <caption>Layout version 1 ({@code PRAGMA user_version})</caption>
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
 * </table>
 */
@SuppressWarnings("DoNotCallSuggester") // until its last methods are built
public final class Journal implements AutoCloseable {

  private static final Logger LOG = LoggerFactory.getLogger(Journal.class);
  private static final Duration LONGEST_WRITE = Duration.ofSeconds(30);
  private static final Duration LONGEST_CLOSE = Duration.ofSeconds(10);
  private static final int VERIFY_PAGE = 500;

  private final Database database;
  private final FolderLock lock;
  private final TimeSource time;
  private final JournalWriter writer;
  private final ReadConnections readers;
  private final Head head = new Head();

  private boolean closed;

  private Journal(Database database, FolderLock lock, TimeSource time) {
    this.database = database;
    this.lock = lock;
    this.time = time;
    this.writer = new JournalWriter(database, time, head::set);
    this.readers = new ReadConnections(database);
  }

  /**
   * Opens the journal in a folder, which is created (mode 0700) if need be, checks the file and
   * starts the writer.
   *
   * @throws JournalException if the folder is in use, the file damaged, of another layout or not on
   *     a disk that keeps what it was told to keep; nothing is repaired
   */
  public static Journal open(Path folder, TimeSource time) throws JournalException {
    return open(folder, time, 0);
  }

  /** Opens likewise; the listener hears when the disk gets full or fails, and when it is well. */
  public static Journal open(Path folder, TimeSource time, StorageListener listener)
      throws JournalException {
    throw new UnsupportedOperationException("not built yet");
  }

  /** Opens with a limit on the number of database pages, 0 for none. */
  static Journal open(Path folder, TimeSource time, int maxPages) throws JournalException {
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
      Journal journal = new Journal(database, lock, time);
      journal.writer.start();
      opened = true;
      return journal;
    } catch (SQLException e) {
      throw JournalException.reading("open the journal", database.file(), e);
    } finally {
      if (!opened) {
        release(lock);
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
    return write(
        "append %d entries (first id \"%s\") and %d sequence marks"
            .formatted(
                entries.size(), entries.isEmpty() ? "" : entries.get(0).id(), numbers.size()),
        connection -> {
          Appended appended = appendAll(connection, entries);
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
    return write(
        "append %d entries of follower \"%s\" and move its cursor to %d"
            .formatted(entries.size(), follower, position),
        connection -> {
          connection.moveCursor(follower, position);
          return appendAll(connection, entries);
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
    write(
        "move the cursor of follower \"%s\" to %d".formatted(follower, position),
        connection -> {
          connection.moveCursor(follower, position);
          return position;
        });
  }

  /** Returns the last position the follower is done with, 0 if it never moved. */
  public long cursor(String follower) throws JournalException {
    List<Long> found =
        query(
            "read the cursor of follower \"%s\"".formatted(follower),
            "SELECT position FROM cursor WHERE follower = ?",
            row -> row.getLong(1),
            follower);
    return found.isEmpty() ? 0 : found.get(0);
  }

  /** Returns up to {@code limit} entries after a position, in order; empty at the end. */
  public List<JournalEntry> read(long after, int limit) throws JournalException {
    if (limit < 1) {
      throw new IllegalArgumentException("a read of %d entries".formatted(limit));
    }
    return query(
        "read %d entries after position %d".formatted(limit, after),
        "SELECT * FROM entry WHERE position > ? ORDER BY position LIMIT ?",
        ReadConnections::entry,
        after,
        limit);
  }

  /** Returns the entry with an id. */
  public Optional<JournalEntry> find(String id) throws JournalException {
    return query(
            "find the entry \"%s\"".formatted(id),
            "SELECT * FROM entry WHERE id = ?",
            ReadConnections::entry,
            id)
        .stream()
        .findFirst();
  }

  /** Returns the highest durable number of a source's epoch; empty if none was ever marked. */
  public OptionalLong lastSequence(String source, String epoch) throws JournalException {
    List<Long> found =
        query(
            "read the last number of source \"%s\", epoch \"%s\"".formatted(source, epoch),
            "SELECT last FROM sequence WHERE source = ? AND epoch = ?",
            row -> row.getLong(1),
            source,
            epoch);
    return found.isEmpty() ? OptionalLong.empty() : OptionalLong.of(found.get(0));
  }

  /** Returns the numbering kept for a source that has none of its own; made at the first call. */
  public OwnEpoch ownEpoch(String source) throws JournalException {
    return write(
        "make or read the own epoch of source \"%s\"".formatted(source),
        connection -> connection.ownEpoch(source));
  }

  /** Returns the last committed position, 0 if there is none. */
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
   * Walks the digests from the first entry to the present head and returns a sentence saying where
   * they break; empty if they do not. Cutting off the tail, or writing all of it anew, does not
   * show.
   */
  public Optional<String> verify() throws JournalException {
    byte[] digest = Chain.start();
    long done = 0;
    for (long end = head(); done < end; ) {
      List<JournalEntry> page = read(done, VERIFY_PAGE);
      if (page.isEmpty()) {
        return Optional.of(
            "the entries end at position %d, where %d was the last".formatted(done, end));
      }
      for (JournalEntry entry : page) {
        Optional<String> fault = Chain.fault(entry, done + 1, digest);
        if (fault.isPresent()) {
          return fault;
        }
        done = entry.position();
        digest = entry.digest();
      }
    }
    return Optional.empty();
  }

  /** Returns the identity of the journal itself, 12 hexadecimal digits, made with it. */
  public String identity() {
    throw new UnsupportedOperationException("not built yet");
  }

  /** Returns the place of every follower that ever moved, by its name. */
  public Map<String, Long> cursors() throws JournalException {
    throw new UnsupportedOperationException("not built yet");
  }

  /** Returns whether an entry with this id is here, or was before retention removed it. */
  public boolean knows(String id) throws JournalException {
    throw new UnsupportedOperationException("not built yet");
  }

  /** Puts an entry aside for a follower; putting it aside again changes nothing. */
  public void shelve(String follower, long position, String reason) throws JournalException {
    throw new UnsupportedOperationException("not built yet");
  }

  /** Takes an entry off a follower's shelf, if it is there. */
  public void unshelve(String follower, long position) throws JournalException {
    throw new UnsupportedOperationException("not built yet");
  }

  /** Returns what followers have put aside, in order of position. */
  public List<Shelved> shelf() throws JournalException {
    throw new UnsupportedOperationException("not built yet");
  }

  /**
   * Removes entries from the beginning up to a position, but none that was written at or after
   * {@code before}, that a cursor has not passed, or that lies on a shelf; returns where it is cut
   * now. Ids of removed entries stay known, so that a late repeat is still a repeat.
   */
  public Anchor cut(long upTo, Instant before) throws JournalException {
    throw new UnsupportedOperationException("not built yet");
  }

  /** Returns where retention has cut it off. */
  public Anchor anchor() throws JournalException {
    throw new UnsupportedOperationException("not built yet");
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
    head.end();
    // before the writer: SQLite folds the log into the file only if a writer closes last
    try {
      readers.close();
    } catch (SQLException e) {
      LOG.warn("closing a reader of the journal {} failed: {}", database.file(), e.getMessage());
    }
    boolean ended = false;
    try {
      ended = writer.close(LONGEST_CLOSE);
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
    if (ended) {
      release(lock);
    } else {
      // whoever opened it now would write beside the old writer
      LOG.error(
          "the journal {} has not finished writing; its lock is kept until this process ends",
          database.file());
    }
  }

  /** Returns how many transactions were committed since the opening. */
  long commits() {
    return writer.commits();
  }

  private static Appended appendAll(WriteConnection connection, List<Draft> drafts)
      throws SQLException {
    List<Outcome> outcomes = new ArrayList<>(drafts.size());
    for (Draft draft : drafts) {
      outcomes.add(connection.append(draft));
    }
    return new Appended(outcomes);
  }

  private <T> T write(String doing, JournalWriter.Work<T> work) throws JournalException {
    CompletableFuture<T> done = writer.submit(work);
    boolean interrupted = false;
    long end = time.nanos() + LONGEST_WRITE.toNanos();
    try {
      while (true) {
        try {
          return done.get(end - time.nanos(), TimeUnit.NANOSECONDS);
        } catch (InterruptedException e) {
          // the work is on its way and cannot be called back; its outcome is due soon
          interrupted = true;
        }
      }
    } catch (ExecutionException e) {
      Throwable cause = e.getCause() == null ? e : e.getCause();
      throw JournalException.writing(doing, database.file(), cause);
    } catch (TimeoutException e) {
      throw new JournalException(
          "could not %s, file %s: not confirmed after %d s, it may still be written. Check the disk and repeat with the same ids, which doubles nothing"
              .formatted(doing, database.file(), LONGEST_WRITE.toSeconds()),
          e);
    } finally {
      if (interrupted) {
        Thread.currentThread().interrupt();
      }
    }
  }

  private <T> List<T> query(
      String doing, String sql, ReadConnections.Row<T> row, Object... parameters)
      throws JournalException {
    try {
      return readers.query(sql, row, parameters);
    } catch (SQLException e) {
      throw JournalException.reading(doing, database.file(), e);
    }
  }

  private void requireCommitted(long position) {
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
