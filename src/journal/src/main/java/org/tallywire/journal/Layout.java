package org.tallywire.journal;

import java.nio.file.Path;
import java.sql.Connection;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.sql.Statement;
import java.time.Instant;
import java.time.format.DateTimeParseException;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.jspecify.annotations.Nullable;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;

/** The tables, made in a new file or from the version before; see {@link Journal} for them. */
final class Layout {

  /** The version this program writes. */
  static final int VERSION = 2;

  private static final Logger LOG = LoggerFactory.getLogger(Layout.class);
  private static final int WITHOUT_GUARDS = 1;
  private static final int PAGE = 500;

  private static final String GUARD = "guard INTEGER NOT NULL DEFAULT 0";

  private static final String[] KEPT_TABLES = {
    """
    CREATE TABLE entry (
      position INTEGER PRIMARY KEY,
      id TEXT NOT NULL UNIQUE,
      kind TEXT NOT NULL,
      station TEXT NOT NULL,
      payload BLOB NOT NULL,
      digest BLOB NOT NULL,
      written_at TEXT NOT NULL,
      guard INTEGER NOT NULL DEFAULT 0)""",
    """
    CREATE TABLE cursor (
      follower TEXT PRIMARY KEY,
      position INTEGER NOT NULL,
      guard INTEGER NOT NULL DEFAULT 0) WITHOUT ROWID""",
    """
    CREATE TABLE sequence (
      source TEXT NOT NULL,
      epoch TEXT NOT NULL,
      last INTEGER NOT NULL,
      guard INTEGER NOT NULL DEFAULT 0,
      PRIMARY KEY (source, epoch)) WITHOUT ROWID""",
    """
    CREATE TABLE own_epoch (
      source TEXT PRIMARY KEY,
      epoch TEXT NOT NULL,
      guard INTEGER NOT NULL DEFAULT 0) WITHOUT ROWID"""
  };

  private static final String[] TABLES_OF_2 = {
    """
    CREATE TABLE journal (
      one INTEGER PRIMARY KEY CHECK (one = 1),
      identity TEXT NOT NULL,
      created_at TEXT NOT NULL,
      guard INTEGER NOT NULL)""",
    """
    CREATE TABLE anchor (
      one INTEGER PRIMARY KEY CHECK (one = 1),
      position INTEGER NOT NULL,
      digest BLOB NOT NULL,
      guard INTEGER NOT NULL)""",
    """
    CREATE TABLE removed (
      id TEXT PRIMARY KEY,
      position INTEGER NOT NULL,
      guard INTEGER NOT NULL) WITHOUT ROWID""",
    """
    CREATE TABLE shelf (
      follower TEXT NOT NULL,
      position INTEGER NOT NULL,
      id TEXT NOT NULL,
      kind TEXT NOT NULL,
      station TEXT NOT NULL,
      reason TEXT NOT NULL,
      at TEXT NOT NULL,
      guard INTEGER NOT NULL,
      PRIMARY KEY (follower, position)) WITHOUT ROWID"""
  };

  private final Connection connection;
  private final Path file;
  private final Instant now;

  Layout(Connection connection, Path file, Instant now) {
    this.connection = connection;
    this.file = file;
    this.now = now;
  }

  /** Makes the tables in an empty file, or brings those of version 1 up; returns whether it did. */
  boolean make() throws SQLException, JournalException {
    int version = number("PRAGMA user_version");
    int tables = number("SELECT count(*) FROM sqlite_master");
    if (version == VERSION) {
      return false;
    }
    if (version == 0 && tables == 0) {
      transaction(
          () -> {
            execute(KEPT_TABLES);
            finish();
          });
      return true;
    }
    if (version == WITHOUT_GUARDS) {
      migrate();
      return true;
    }
    throw unknown(file, version, tables);
  }

  static JournalException unknown(Path file, int version, int tables) {
    return new JournalException(
        "refused to use the journal, file %s: it has layout version %d with %d tables and indexes, this program knows version %d. Nothing was changed. Use the program version that wrote it, or another folder"
            .formatted(file, version, tables, VERSION),
        null);
  }

  private void migrate() throws JournalException {
    long[] counts = new long[4];
    try {
      transaction(
          () -> {
            for (String table : List.of("entry", "cursor", "sequence", "own_epoch")) {
              execute("ALTER TABLE %s ADD COLUMN %s".formatted(table, GUARD));
            }
            counts[0] = guardEntries();
            counts[1] = guardSmall("cursor", "follower", null, "position");
            counts[2] = guardSmall("sequence", "source", "epoch", "last");
            counts[3] = guardSmall("own_epoch", "source", null, "epoch");
            finish();
          });
    } catch (SQLException | JournalException e) {
      throw JournalException.reading(
          "bring the journal from layout version 1 to 2; it is as it was, and the program version that wrote it can still use it",
          file,
          e);
    }
    LOG.info(
        "journal {} brought from layout version 1 to 2 in one transaction: {} entries, {} cursors, {} sequence marks and {} own epochs have a guard now",
        file,
        counts[0],
        counts[1],
        counts[2],
        counts[3]);
  }

  /** What both ways end with: the tables of version 2, their single rows, the version. */
  private void finish() throws SQLException {
    execute(TABLES_OF_2);
    try (PreparedStatement identity =
            connection.prepareStatement("INSERT INTO journal VALUES (?, ?, ?, ?)");
        PreparedStatement anchor =
            connection.prepareStatement("INSERT INTO anchor VALUES (?, ?, ?, ?)")) {
      WriteConnection.put(identity, 1L, WriteConnection.randomDigits(), now.toString());
      WriteConnection.put(anchor, 1L, 0L, Chain.start());
    }
    execute("PRAGMA user_version = " + VERSION);
  }

  /** Guards every entry, after its chain was checked: damage must not get a guard. */
  private long guardEntries() throws SQLException, JournalException {
    long done = 0;
    byte[] digest = Chain.start();
    try (PreparedStatement page =
            connection.prepareStatement(
                "SELECT * FROM entry WHERE position > ? ORDER BY position LIMIT " + PAGE);
        PreparedStatement update =
            connection.prepareStatement("UPDATE entry SET guard = ? WHERE position = ?")) {
      for (long before = -1; before < done; ) {
        before = done;
        page.setLong(1, done);
        List<Long> guards = new ArrayList<>();
        try (ResultSet found = page.executeQuery()) {
          while (found.next()) {
            JournalEntry entry = bare(found);
            Optional<String> fault = Chain.fault(entry, done + 1, digest);
            if (fault.isPresent()) {
              throw JournalException.damaged(file, fault.get());
            }
            guards.add(guard(entry, found.getString("written_at")));
            done = entry.position();
            digest = entry.digest();
          }
        }
        for (int i = 0; i < guards.size(); i++) {
          update.setLong(1, guards.get(i));
          update.setLong(2, before + 1 + i);
          update.executeUpdate();
        }
      }
    }
    return done;
  }

  private JournalEntry bare(ResultSet row) throws SQLException, JournalException {
    long position = row.getLong("position");
    for (String column : List.of("id", "kind", "station", "payload", "digest", "written_at")) {
      if (row.getObject(column) == null) {
        throw JournalException.damaged(
            file, "the entry at position %d has no %s".formatted(position, column));
      }
    }
    return new JournalEntry(
        position,
        row.getString("id"),
        row.getString("kind"),
        row.getString("station"),
        row.getBytes("payload"),
        row.getBytes("digest"),
        instant(position, row.getString("written_at")));
  }

  private Instant instant(long position, String text) throws JournalException {
    try {
      return Instant.parse(text);
    } catch (DateTimeParseException e) {
      throw JournalException.damaged(
          file, "the entry at position %d has the time \"%s\"".formatted(position, text));
    }
  }

  private static long guard(JournalEntry entry, String writtenAt) {
    return Guard.of(
        entry.position(),
        entry.id(),
        entry.kind(),
        entry.station(),
        entry.payload(),
        entry.digest(),
        writtenAt);
  }

  /** Guards a table of a text key of one or two columns and one more column. */
  private long guardSmall(String table, String key, @Nullable String second, String value)
      throws SQLException {
    String columns = second == null ? key + ", " + value : key + ", " + second + ", " + value;
    List<Object[]> found = new ArrayList<>();
    try (Statement statement = connection.createStatement();
        ResultSet rows = statement.executeQuery("SELECT %s FROM %s".formatted(columns, table))) {
      int width = second == null ? 2 : 3;
      while (rows.next()) {
        Object[] row = new Object[width];
        for (int i = 0; i < width; i++) {
          boolean number = i == width - 1 && !value.equals("epoch");
          row[i] = number ? (Object) rows.getLong(i + 1) : rows.getString(i + 1);
        }
        found.add(row);
      }
    }
    String marks = second == null ? "?, ?, ?" : "?, ?, ?, ?";
    try (PreparedStatement replace =
        connection.prepareStatement(
            "REPLACE INTO %s (%s, guard) VALUES (%s)".formatted(table, columns, marks))) {
      for (Object[] row : found) {
        WriteConnection.put(replace, row);
      }
    }
    return found.size();
  }

  /** Something done in one transaction. */
  private interface Steps {
    void run() throws SQLException, JournalException;
  }

  private void transaction(Steps steps) throws SQLException, JournalException {
    execute("BEGIN IMMEDIATE");
    boolean done = false;
    try {
      steps.run();
      execute("COMMIT");
      done = true;
    } finally {
      if (!done) {
        rollback();
      }
    }
  }

  private void rollback() {
    try {
      execute("ROLLBACK");
    } catch (SQLException e) {
      LOG.debug("no transaction to roll back, SQLite had done so itself: {}", e.getMessage());
    }
  }

  private void execute(String... statements) throws SQLException {
    try (Statement statement = connection.createStatement()) {
      for (String sql : statements) {
        statement.execute(sql);
      }
    }
  }

  private int number(String sql) throws SQLException {
    try (Statement statement = connection.createStatement();
        ResultSet rows = statement.executeQuery(sql)) {
      return rows.next() ? rows.getInt(1) : -1;
    }
  }
}
