package org.tallywire.journal;

import java.sql.Connection;
import java.sql.SQLException;
import java.time.Duration;
import java.util.function.LongConsumer;
import org.jspecify.annotations.Nullable;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.api.TimeSource;

/**
 * The writer's connection: checked and its log settled before anybody is told of what is in it, and
 * opened anew after an error. Used by the writer's thread, and before that starts by who starts it.
 */
final class Opening {

  private static final Logger LOG = LoggerFactory.getLogger(Opening.class);
  private static final long NOTHING_YET = -1;

  /** Pages in the log at which it is folded into the file: SQLite's usual 4 MB, or soon. */
  private static final int FOLD_USUALLY = 1_000;

  private static final int FOLD_SOON = 64;

  private final Database database;
  private final TimeSource time;
  private final Storage storage;
  private final HeadMark mark;
  private final LongConsumer committed;
  private final Pause pause;

  private boolean foldsSoon;
  private long lastCommitted = NOTHING_YET;
  private @Nullable WriteConnection connection;

  /**
   * @param committed hears the last committed position after every commit and every opening, once
   *     the log that the opening found is settled
   */
  Opening(
      Database database, TimeSource time, Storage storage, HeadMark mark, LongConsumer committed) {
    this.database = database;
    this.time = time;
    this.storage = storage;
    this.mark = mark;
    this.committed = committed;
    this.pause = new Pause(time);
  }

  /** Opens it for the first time, all of it checked, and returns the journal's identity. */
  String start() throws SQLException, JournalException {
    WriteConnection first = open(Database.Check.WHOLE);
    connection = first;
    mark.require(first);
    boolean settled = settle(first);
    if (mark.absent() && !database.made() && first.head() > 0) { // an empty one gave nothing out
      putBack(first);
    }
    String identity = first.identity();
    if (settled) {
      reached(first);
    } else {
      // the next to write, or to have time, opens it again and settles before anything is told
      discard(false);
    }
    return identity;
  }

  /** Tries again what the start could not settle, so that readers need not wait for a write. */
  void idle() {
    if (lastCommitted == NOTHING_YET) {
      try {
        connection();
      } catch (SQLException | JournalException | RuntimeException e) {
        LOG.debug("the log of the journal could still not be folded in: {}", e.getMessage());
      }
    }
  }

  /** Gives the connection up and makes the mark durable. */
  void close() {
    discard(false);
    mark.close();
  }

  /** The process before us may have met a sync that failed; a full disk must not keep us out. */
  private boolean settle(WriteConnection first) {
    String why = "another program reads the file";
    try {
      if (first.settle()) {
        return true;
      }
    } catch (SQLException | JournalException e) {
      why = String.valueOf(e.getMessage());
    }
    LOG.warn(
        "the log of the journal {} could not be folded in at the start: {}. Until it is, nothing is written and no entry is shown; it is tried again every second",
        database.file(),
        why);
    return false;
  }

  private void putBack(WriteConnection first) throws SQLException, JournalException {
    String before = first.identity();
    Restored.begin(first, time.now().toString());
    LOG.warn(
        "there is no journal.head beside the journal {}, so it was put back from a copy that ends at position {}: its identity was {} and is {}, instruments without numbers of their own get a new epoch, and consumers confirm from the beginning",
        database.file(),
        first.head(),
        before,
        first.identity());
  }

  /** Undoes what a request did before it was refused; the connection stays if that works. */
  void rollback() {
    WriteConnection use = connection;
    try {
      if (use != null) {
        use.rollback();
      }
    } catch (SQLException e) {
      LOG.warn("undoing a refused write failed, file {}: {}", database.file(), e.getMessage());
      discard(false);
    }
  }

  /** Notes how far the journal is, in that order: whoever hears of it can find it marked. */
  void reached(WriteConnection use) {
    long head = use.head();
    if (head != lastCommitted) {
      mark.write(head, use.digest());
      lastCommitted = head;
    }
    committed.accept(head);
  }

  /** Returns the connection, opened anew after an error and set for the space there is. */
  WriteConnection connection() throws SQLException, JournalException {
    WriteConnection use = connection;
    if (use == null) {
      use = reopen();
      connection = use;
      reached(use);
      LOG.info("journal {} opened again: sound, last position {}", database.file(), use.head());
      foldsSoon = false;
    }
    if (foldsSoon != storage.full()) {
      foldsSoon = storage.full();
      use.fold(foldsSoon ? FOLD_SOON : FOLD_USUALLY);
    }
    return use;
  }

  /** Opens it and settles its log, before anybody is told of what is in it. */
  private WriteConnection reopen() throws SQLException, JournalException {
    Duration left = pause.left();
    if (left.compareTo(Duration.ZERO) > 0) {
      throw new SQLException(
          "it is opened and checked again after the last error, but not before %d ms are over"
              .formatted(left.toMillis() + 1));
    }
    pause.begin();
    WriteConnection opened = null;
    boolean settled = false;
    try {
      opened = open(Database.Check.PAGES);
      settled = opened.settle();
      if (!settled) {
        throw new SQLException("a reader keeps the log from being folded into the file");
      }
      return opened;
    } finally {
      pause.end();
      if (opened != null && !settled) {
        opened.close();
      }
    }
  }

  private WriteConnection open(Database.Check check) throws SQLException, JournalException {
    Connection opened = database.openForWriting(check, time.now());
    boolean sound = false;
    try {
      WriteConnection result = new WriteConnection(opened, new Rows(database.file()), time);
      if (result.head() < lastCommitted) {
        throw JournalException.damaged(
            database.file(),
            "it ends at position %d, where %d was committed"
                .formatted(result.head(), lastCommitted));
      }
      sound = true;
      return result;
    } finally {
      if (!sound) {
        opened.close();
      }
    }
  }

  /** Gives it up, after an error or at the end; the next to ask gets a new one. */
  void discard(boolean rollback) {
    WriteConnection old = connection;
    connection = null;
    if (old == null) {
      return;
    }
    try {
      if (rollback) {
        old.rollback();
      }
    } catch (SQLException e) {
      LOG.debug("no transaction to roll back, SQLite had done so itself: {}", e.getMessage());
    }
    try {
      old.close();
    } catch (SQLException e) {
      LOG.warn("closing the journal {} failed: {}", database.file(), e.getMessage());
    }
  }
}
