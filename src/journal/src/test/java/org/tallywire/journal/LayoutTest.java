package org.tallywire.journal;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.security.MessageDigest;
import java.sql.Connection;
import java.sql.DriverManager;
import java.sql.PreparedStatement;
import java.sql.ResultSet;
import java.sql.SQLException;
import java.sql.Statement;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.TreeMap;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.TimeSource;

/** A file of layout version 1, made with that version's own statements, is brought to 2 or left. */
@Timeout(120)
class LayoutTest {

  private static final TimeSource TIME = TimeSource.system();
  private static final int ENTRIES = 1_203;

  private static final List<String> VERSION_1 =
      List.of(
          "PRAGMA journal_mode = WAL",
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
            epoch TEXT NOT NULL) WITHOUT ROWID""",
          "INSERT INTO cursor VALUES ('publisher', 700), ('examiner', 1203)",
          "INSERT INTO sequence VALUES ('TT-1', '77aa', 41), ('bay-2', '0123456789ab', 9)",
          "INSERT INTO own_epoch VALUES ('bay-2', '0123456789ab')",
          "PRAGMA user_version = 1");

  @TempDir Path folder;

  @Test
  void aJournalOfVersion1IsBroughtUpWholeAndOnce() throws Exception {
    makeVersion1();
    String identity;
    try (Journal journal = Journal.open(folder, TIME)) {
      identity = journal.identity();
      requireContent(journal);
      journal.append(List.of(Drafts.of("new")), List.of(new SequenceMark("TT-1", "77aa", 42)));
      assertEquals(OptionalLong.of(42), journal.lastSequence("TT-1", "77aa"));
    }
    try (Journal journal = Journal.open(folder, TIME)) {
      assertEquals(identity, journal.identity());
      assertEquals(ENTRIES + 1, journal.head());
      requireContent(journal);
    }
  }

  @Test
  void aBrokenChainStopsTheMigrationAndVersion1IsUntouched() throws Exception {
    makeVersion1();
    sql("UPDATE entry SET payload = x'00' WHERE position = 1100");
    Map<String, String> before = content();
    JournalException refused =
        assertThrows(JournalException.class, () -> Journal.open(folder, TIME));
    assertTrue(refused.getMessage().contains("layout version 1 to 2"), refused.getMessage());
    assertTrue(refused.getMessage().contains("position 1100"), refused.getMessage());
    assertEquals(before, content());
  }

  @Test
  void aDamagedTimeStopsTheMigrationToo() throws Exception {
    makeVersion1();
    sql("UPDATE entry SET written_at = 'no time' WHERE position = 7");
    JournalException refused =
        assertThrows(JournalException.class, () -> Journal.open(folder, TIME));
    assertTrue(refused.getMessage().contains("position 7 has the time"), refused.getMessage());
  }

  /** sqlite.org, PRAGMA max_page_count: beyond it SQLite reports SQLITE_FULL, as a full disk. */
  @Test
  void aDiskThatIsFullInTheMiddleLeavesVersion1AndItGoesOnLater() throws Exception {
    makeVersion1();
    Map<String, String> before = content();
    int pages = Integer.parseInt(one("PRAGMA page_count"));
    JournalException refused =
        assertThrows(
            JournalException.class,
            () -> Journal.open(folder, TIME, (state, sentence) -> {}, pages + 2));
    assertTrue(refused.full(), refused.getMessage());
    assertEquals(before, content());
    try (Journal journal = Journal.open(folder, TIME)) {
      requireContent(journal);
    }
  }

  @Test
  void aViewSaysWhatToDoWithVersion1() throws Exception {
    makeVersion1();
    JournalException refused = assertThrows(JournalException.class, () -> JournalView.open(folder));
    assertTrue(refused.getMessage().contains("layout version 1"), refused.getMessage());
    assertTrue(refused.getMessage().contains("Start the bridge"), refused.getMessage());
  }

  private static void requireContent(Journal journal) throws Exception {
    List<JournalEntry> entries = journal.read(0, ENTRIES);
    for (int i = 1; i <= ENTRIES; i++) {
      JournalEntry entry = entries.get(i - 1);
      assertEquals(i, entry.position());
      assertEquals("e" + i, entry.id());
      assertArrayEquals(payload(i), entry.payload());
    }
    assertEquals(700, journal.cursor("publisher"));
    assertEquals(1203, journal.cursor("examiner"));
    assertEquals(new OwnEpoch("0123456789ab", 9), journal.ownEpoch("bay-2"));
    assertEquals(0, journal.anchor().position());
    assertEquals(Optional.empty(), journal.verify());
  }

  private void makeVersion1() throws Exception {
    for (String statement : VERSION_1) {
      sql(statement);
    }
    MessageDigest sha = MessageDigest.getInstance("SHA-256");
    byte[] digest = new byte[32];
    try (Connection connection = connect();
        PreparedStatement insert =
            connection.prepareStatement("INSERT INTO entry VALUES (?, ?, ?, ?, ?, ?, ?)")) {
      connection.setAutoCommit(false);
      for (int i = 1; i <= ENTRIES; i++) {
        sha.update(digest);
        digest = sha.digest(payload(i));
        insert.setLong(1, i);
        insert.setString(2, "e" + i);
        insert.setString(3, "reading");
        insert.setString(4, "bay-1");
        insert.setBytes(5, payload(i));
        insert.setBytes(6, digest);
        insert.setString(7, "2026-01-02T03:04:05.600Z");
        insert.executeUpdate();
      }
      connection.commit();
    }
  }

  private static byte[] payload(int i) {
    return ("{\"invented\":" + i + "}").getBytes(StandardCharsets.UTF_8);
  }

  /** All that is in the file, by table and row. */
  private Map<String, String> content() throws SQLException {
    Map<String, String> content = new TreeMap<>();
    content.put("version", one("PRAGMA user_version"));
    try (Connection connection = connect();
        Statement statement = connection.createStatement()) {
      try (ResultSet tables = statement.executeQuery("SELECT name, sql FROM sqlite_master")) {
        while (tables.next()) {
          content.put("table " + tables.getString(1), String.valueOf(tables.getString(2)));
        }
      }
      for (String table : List.of("entry", "cursor", "sequence", "own_epoch")) {
        int number = 0;
        try (ResultSet rows = statement.executeQuery("SELECT * FROM " + table)) {
          while (rows.next()) {
            StringBuilder row = new StringBuilder();
            for (int i = 1; i <= rows.getMetaData().getColumnCount(); i++) {
              row.append(rows.getString(i)).append('|');
            }
            content.put(table + " " + number++, row.toString());
          }
        }
      }
    }
    return content;
  }

  private String one(String query) throws SQLException {
    try (Connection connection = connect();
        Statement statement = connection.createStatement();
        ResultSet rows = statement.executeQuery(query)) {
      return rows.getString(1);
    }
  }

  private void sql(String statement) throws SQLException {
    try (Connection connection = connect();
        Statement use = connection.createStatement()) {
      use.execute(statement);
    }
  }

  private Connection connect() throws SQLException {
    return DriverManager.getConnection("jdbc:sqlite:" + folder.resolve("journal.db"));
  }
}
