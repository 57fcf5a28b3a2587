package org.tallywire.journal;

import java.io.IOException;
import java.nio.file.Path;
import java.sql.Connection;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.sql.Statement;
import org.sqlite.JDBC;
import org.sqlite.SQLiteConfig;

/** Opens connections with the settings the journal's promises rest on, and reads them back. */
final class Database {

  private static final int SCHEMA = 1;
  private static final int SYNCHRONOUS_FULL = 2;
  private static final int BUSY_MILLIS = 5_000;

  private static final String[] TABLES = {
    """
    CREATE TABLE entry (
      position INTEGER PRIMARY KEY,
      id TEXT NOT NULL UNIQUE,
      kind TEXT NOT NULL,
      station TEXT NOT NULL,
      payload BLOB NOT NULL,
      digest BLOB NOT NULL,
      written_at TEXT NOT NULL)""",
    """
    CREATE TABLE cursor (
      follower TEXT PRIMARY KEY,
      position INTEGER NOT NULL) WITHOUT ROWID""",
    """
    CREATE TABLE sequence (
      source TEXT NOT NULL,
      epoch TEXT NOT NULL,
      last INTEGER NOT NULL,
      PRIMARY KEY (source, epoch)) WITHOUT ROWID""",
    """
    CREATE TABLE own_epoch (
      source TEXT PRIMARY KEY,
      epoch TEXT NOT NULL) WITHOUT ROWID"""
  };

  private final Path folder;
  private final Path file;
  private final int maxPages;

  /**
   * @param maxPages the most pages the file may have, 0 for no limit of ours
   */
  Database(Path folder, int maxPages) {
    this.folder = folder;
    this.file = folder.resolve("journal.db");
    this.maxPages = maxPages;
  }

  Path file() {
    return file;
  }

  /** Opens the writing connection: settings read back, file checked, tables there. */
  Connection openForWriting() throws SQLException, JournalException {
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
      requireSound(statement);
      requireSchema(statement);
      return connection;
    } catch (SQLException | JournalException | RuntimeException e) {
      connection.close();
      throw e;
    }
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

  private void requireSound(Statement statement) throws SQLException, JournalException {
    String found = text(statement, "PRAGMA quick_check(1)");
    if (!found.equals("ok")) {
      throw new JournalException(
          "refused to use the journal, file %s: its quick check found: %s. Nothing was changed. Keep a copy of the whole folder, then restore a backup or start with an empty folder"
              .formatted(file, found),
          null);
    }
  }

  private void requireSchema(Statement statement) throws SQLException, JournalException {
    int version = number(statement, "PRAGMA user_version");
    if (version == SCHEMA) {
      return;
    }
    int tables = number(statement, "SELECT count(*) FROM sqlite_master");
    if (version != 0 || tables != 0) {
      throw new JournalException(
          "refused to use the journal, file %s: it has layout version %d with %d tables and indexes, this program knows version %d. Nothing was changed. Use the program version that wrote it, or another folder"
              .formatted(file, version, tables, SCHEMA),
          null);
    }
    statement.execute("BEGIN IMMEDIATE");
    for (String table : TABLES) {
      statement.execute(table);
    }
    statement.execute("PRAGMA user_version = " + SCHEMA);
    statement.execute("COMMIT");
    try {
      Folders.sync(folder);
    } catch (IOException e) {
      throw new JournalException(
          "could not make the new journal durable, file %s: %s. Check the disk of its folder"
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
