package org.tallywire.journal;

import java.io.IOException;
import java.nio.file.Path;
import java.sql.Connection;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.sql.Statement;
import java.time.Instant;
import org.sqlite.JDBC;
import org.sqlite.SQLiteConfig;

/** Opens connections with the settings the journal's promises rest on, and reads them back. */
final class Database {

  private static final int SYNCHRONOUS_FULL = 2;
  private static final int BUSY_MILLIS = 5_000;

  /** The log is cut back to this once it was folded in; a cut or a migration makes it large. */
  private static final int LOG_LIMIT = 8 << 20;

  /** How much of the file is looked at before it is used. */
  enum Check {
    /** All of it, tables against indexes. */
    WHOLE("integrity_check", "integrity"),
    /** All pages, but not each index entry against its row. */
    PAGES("quick_check", "quick");

    private final String pragma;
    private final String word;

    Check(String pragma, String word) {
      this.pragma = pragma;
      this.word = word;
    }
  }

  private final Path folder;
  private final Path file;
  private final int maxPages;
  private boolean made;

  /**
   * @param maxPages the most pages the file may have, 0 for no limit of ours
   */
  Database(Path folder, int maxPages) {
    this.folder = folder;
    this.file = folder.resolve("journal.db");
    this.maxPages = maxPages;
  }

  Path folder() {
    return folder;
  }

  Path file() {
    return file;
  }

  /**
   * Opens the writing connection: settings read back, file checked, tables there.
   *
   * @param check how the file is checked
   */
  Connection openForWriting(Check check, Instant now) throws SQLException, JournalException {
    SQLiteConfig config = new SQLiteConfig();
    config.setJournalMode(SQLiteConfig.JournalMode.WAL);
    config.setSynchronous(SQLiteConfig.SynchronousMode.FULL);
    config.setBusyTimeout(BUSY_MILLIS);
    if (maxPages > 0) {
      config.setMaxPageCount(maxPages);
    }
    Connection connection = open(config);
    try (Statement statement = connection.createStatement()) {
      requireDurable(statement);
      statement.execute("PRAGMA journal_size_limit = " + LOG_LIMIT);
      requireSound(statement, check);
      made |= new Layout(connection, file, now).make();
      // of the file and of its log; SQLite does it too, but takes no notice if it fails
      sync();
      return connection;
    } catch (SQLException | JournalException | RuntimeException e) {
      connection.close();
      throw e;
    }
  }

  /** Returns whether an opening for writing made the journal, or brought it up from version 1. */
  boolean made() {
    return made;
  }

  /** Opens a connection that cannot write. */
  Connection openForReading() throws SQLException {
    SQLiteConfig config = new SQLiteConfig();
    config.setReadOnly(true);
    config.setBusyTimeout(BUSY_MILLIS);
    return open(config);
  }

  private Connection open(SQLiteConfig config) throws SQLException {
    return JDBC.createConnection(JDBC.PREFIX + file, config.toProperties());
  }

  private void requireDurable(Statement statement) throws SQLException, JournalException {
    // macOS: a plain fsync does not reach the disk; elsewhere this setting does nothing
    statement.execute("PRAGMA fullfsync = ON");
    String mode = text(statement, "PRAGMA journal_mode");
    int synchronous = number(statement, "PRAGMA synchronous");
    if (!mode.equals("wal") || synchronous != SYNCHRONOUS_FULL) {
      throw new JournalException(
          "refused to use the journal, file %s: SQLite answers journal_mode %s and synchronous %d where wal and 2 are needed to survive a power loss. Put the folder on a local disk"
              .formatted(file, mode, synchronous),
          null);
    }
  }

  private void requireSound(Statement statement, Check check)
      throws SQLException, JournalException {
    String found = text(statement, "PRAGMA %s(1)".formatted(check.pragma));
    if (!found.equals("ok")) {
      throw new JournalException(
          "refused to use the journal, file %s: its %s check found: %s. Nothing was changed. Keep a copy of the whole folder, then restore a backup or start with an empty folder"
              .formatted(file, check.word, found),
          null);
    }
  }

  /** Refuses a file of another layout, without changing anything. */
  void requireLayout(Connection connection) throws SQLException, JournalException {
    try (Statement statement = connection.createStatement()) {
      int version = number(statement, "PRAGMA user_version");
      if (version == Layout.VERSION - 1) {
        throw JournalException.refused(
            "the journal has layout version %d, file %s, and is read in version %d. Start the bridge on it once, which brings it there"
                .formatted(version, file, Layout.VERSION));
      }
      if (version != Layout.VERSION) {
        throw Layout.unknown(
            file, version, number(statement, "SELECT count(*) FROM sqlite_master"));
      }
    }
  }

  private void sync() throws JournalException {
    try {
      Folders.sync(folder);
    } catch (IOException e) {
      throw new JournalException(
          "could not make the names of the journal's files durable, file %s: %s. Check the disk of its folder"
              .formatted(file, e.getMessage()),
          e);
    }
  }

  private static String text(Statement statement, String sql) throws SQLException {
    try (ResultSet rows = statement.executeQuery(sql)) {
      String answer = rows.next() ? rows.getString(1) : null;
      return answer == null ? "nothing" : answer;
    }
  }

  private static int number(Statement statement, String sql) throws SQLException {
    try (ResultSet rows = statement.executeQuery(sql)) {
      return rows.next() ? rows.getInt(1) : -1;
    }
  }
}
