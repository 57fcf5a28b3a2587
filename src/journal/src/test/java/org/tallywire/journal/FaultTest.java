package org.tallywire.journal;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.RandomAccessFile;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.sql.Connection;
import java.sql.DriverManager;
import java.sql.SQLException;
import java.sql.Statement;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Random;
import java.util.concurrent.CopyOnWriteArrayList;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.TimeSource;

/** A full store, a changed file, a file of somebody else: said, never repaired. */
@Timeout(30)
class FaultTest {

  private static final TimeSource TIME = TimeSource.system();

  @TempDir Path folder;

  /** sqlite.org, PRAGMA max_page_count: beyond it SQLite reports SQLITE_FULL, as a full disk. */
  @Test
  void aFullStoreTakesAllOrNothingAndRecovers() throws Exception {
    try (Journal journal = Journal.open(folder, TIME, (state, sentence) -> {}, 40)) {
      journal.append(List.of(Drafts.of("a")), List.of(new SequenceMark("s", "e", 1)));
      Draft large = Drafts.of("large", "x".repeat(400_000));
      JournalException full =
          assertThrows(
              JournalException.class,
              () ->
                  journal.append(
                      List.of(Drafts.of("b"), large), List.of(new SequenceMark("s", "e", 3))));
      assertTrue(full.full());
      assertTrue(full.getMessage().contains("journal.db"), full.getMessage());
      assertThrows(
          JournalException.class,
          () -> journal.appendFrom("examiner", 1, List.of(Drafts.of("c"), large)));
      assertEquals(1, journal.head());
      assertEquals(Optional.empty(), journal.find("b"));
      assertEquals(0, journal.cursor("examiner"));
      assertEquals(OptionalLong.of(1), journal.lastSequence("s", "e"));

      assertEquals(
          new Outcome(2, false),
          journal.append(List.of(Drafts.of("b")), List.of()).outcomes().get(0));
      assertEquals(Optional.empty(), journal.verify());
    }
  }

  @Test
  void theChainShowsAChangedPayload() throws Exception {
    fill(5);
    edit("UPDATE entry SET payload = CAST('{\"changed\":1}' AS BLOB) WHERE position = 3");
    String found = verify().orElseThrow();
    assertTrue(found.contains("position 3 (id \"e3\")"), found);
  }

  @Test
  void theChainShowsAChangedDigestAndARemovedEntry() throws Exception {
    fill(5);
    edit("UPDATE entry SET digest = zeroblob(32) WHERE position = 2");
    assertTrue(verify().orElseThrow().contains("position 2"), verify().toString());
    edit("DELETE FROM entry WHERE position = 2");
    assertTrue(verify().orElseThrow().contains("after position 1 comes 3"), verify().toString());
  }

  /** The chain covers payloads alone; the guard covers the other columns, and is not served. */
  @Test
  void aRowThatFailsItsCheckIsNeverReturned() throws Exception {
    fill(5);
    edit("UPDATE entry SET station = 'bay-2' WHERE position = 3");
    try (Journal journal = Journal.open(folder, TIME)) {
      assertEquals(2, journal.read(0, 2).size());
      JournalException refused = assertThrows(JournalException.class, () -> journal.read(0, 3));
      assertTrue(refused.getMessage().contains("position 3 (id \"e3\")"), refused.getMessage());
      assertThrows(JournalException.class, () -> journal.find("e3"));
      // its digest is not trusted either, so what follows it cannot be checked
      assertThrows(JournalException.class, () -> journal.read(3, 1));
      assertEquals("e5", journal.read(4, 1).get(0).id());
      // neither is it taken for a repeat
      assertThrows(
          JournalException.class, () -> journal.append(List.of(Drafts.of("e3")), List.of()));
      assertTrue(journal.verify().orElseThrow().contains("position 3"));
      assertEquals(
          new Outcome(6, false),
          journal.append(List.of(Drafts.of("e6")), List.of()).outcomes().get(0));
    }
  }

  @Test
  void everySmallTableIsCheckedAtTheStart() throws Exception {
    try (Journal journal = Journal.open(folder, TIME)) {
      journal.append(List.of(Drafts.of("a")), List.of(new SequenceMark("s", "e", 7)));
      journal.moveCursor("publisher", 1);
      journal.ownEpoch("bay-1");
      journal.shelve("publisher", 1, "invented reason");
    }
    Map<String, String> edits = new LinkedHashMap<>();
    edits.put("UPDATE cursor SET position = position %s 1", "cursor of follower");
    edits.put("UPDATE sequence SET last = last %s 1", "sequence mark of source \"s\"");
    edits.put("UPDATE own_epoch SET guard = guard %s 1", "own epoch of source \"bay-1\"");
    edits.put("UPDATE shelf SET guard = guard %s 1", "shelved of position 1");
    edits.put("UPDATE anchor SET guard = guard %s 1", "anchor at position 0");
    edits.put("UPDATE journal SET guard = guard %s 1", "identity");
    for (Map.Entry<String, String> each : edits.entrySet()) {
      edit(each.getKey().formatted("+"));
      String message = refusal();
      assertTrue(message.contains(each.getValue()), message);
      edit(each.getKey().formatted("-"));
    }
    assertEquals(Optional.empty(), verify());
  }

  @Test
  void anotherJournalInItsPlaceIsNoticed() throws Exception {
    fill(5);
    Path other = folder.resolve("other");
    try (Journal journal = Journal.open(other, TIME)) {
      journal.append(List.of(Drafts.of("a")), List.of());
    }
    Files.copy(other.resolve("journal.db"), database(), StandardCopyOption.REPLACE_EXISTING);
    assertTrue(refusal().contains("4 entries are missing"), refusal());
    try (Journal journal = Journal.open(other, TIME)) {
      for (int i = 0; i < 9; i++) {
        journal.append(List.of(Drafts.of("b" + i)), List.of());
      }
    }
    Files.copy(other.resolve("journal.db"), database(), StandardCopyOption.REPLACE_EXISTING);
    assertTrue(refusal().contains("another journal"), refusal());
    // the way on that the message names
    Files.delete(folder.resolve("journal.head"));
    assertEquals(Optional.empty(), verify());
  }

  /** shared/journal.md, Copy: a copy gives out again what was given out after it was made. */
  @Test
  void aJournalPutBackFromACopyIsAnother() throws Exception {
    String identity;
    OwnEpoch epoch;
    try (Journal journal = Journal.open(folder, TIME)) {
      identity = journal.identity();
      epoch = journal.ownEpoch("bay-1");
      journal.append(
          List.of(Drafts.of("a"), Drafts.of("b"), Drafts.of("c")),
          List.of(new SequenceMark("bay-1", epoch.epoch(), 3)));
      journal.moveCursor("publisher", 3);
      journal.moveCursor("consumer:archive", 2);
      journal.cut(1, Instant.MAX);
    }
    try (Journal journal = Journal.open(folder, TIME)) {
      assertEquals(identity, journal.identity());
      assertEquals(epoch.epoch(), journal.ownEpoch("bay-1").epoch());
    }
    Path restored = Files.createDirectory(folder.resolve("restored"));
    Files.copy(database(), restored.resolve("journal.db"));
    String renewed;
    try (Journal journal = Journal.open(restored, TIME)) {
      renewed = journal.identity();
      assertNotEquals(identity, renewed);
      assertNotEquals(epoch.epoch(), journal.ownEpoch("bay-1").epoch());
      assertEquals(Map.of("publisher", 3L, "consumer:archive", 1L), journal.cursors());
      assertEquals(3, journal.head());
      assertEquals(Optional.empty(), journal.verify());
    }
    try (Journal journal = Journal.open(restored, TIME)) {
      assertEquals(renewed, journal.identity());
    }
  }

  /** What the log holds may be gone with the power until it is settled: nobody is told of it. */
  @Test
  void nothingIsToldBeforeTheLogIsSettled() throws Exception {
    Path killed = Files.createDirectory(folder.resolve("killed"));
    try (Journal journal = Journal.open(folder, TIME)) {
      journal.append(List.of(Drafts.of("a"), Drafts.of("b")), List.of());
      for (String name : List.of("journal.db", "journal.db-wal")) {
        Files.copy(folder.resolve(name), killed.resolve(name));
      }
    }
    try (Connection reader = DriverManager.getConnection("jdbc:sqlite:" + killed + "/journal.db");
        Statement statement = reader.createStatement()) {
      statement.execute("BEGIN");
      statement.executeQuery("SELECT count(*) FROM entry").close();
      try (Journal journal = Journal.open(killed, TIME)) {
        assertEquals(0, journal.head());
        assertThrows(JournalException.class, () -> journal.moveCursor("publisher", 1));
        statement.execute("COMMIT");
        assertTrue(journal.awaitBeyond(1, Duration.ofSeconds(20)));
        assertEquals(2, journal.read(0, 9).size());
        journal.moveCursor("publisher", 1);
      }
    }
  }

  @Test
  void aWriteThatFailsIsToldAndTheNextThatWorksToo() throws Exception {
    List<StorageState> told = new CopyOnWriteArrayList<>();
    // by that clock no opening takes any time, so none is followed by a pause
    try (Journal journal =
        Journal.open(folder, JournalTest.FIXED, (state, sentence) -> told.add(state))) {
      journal.append(List.of(Drafts.of("a")), List.of());
      edit("ALTER TABLE entry RENAME TO away");
      for (int i = 0; i < 2; i++) {
        JournalException failed =
            assertThrows(
                JournalException.class, () -> journal.append(List.of(Drafts.of("b")), List.of()));
        assertFalse(failed.full());
      }
      assertEquals(List.of(StorageState.FAILING), told);
      edit("ALTER TABLE away RENAME TO entry");
      assertEquals(
          List.of(new Outcome(2, false)),
          journal.append(List.of(Drafts.of("b")), List.of()).outcomes());
      assertEquals(List.of(StorageState.FAILING, StorageState.SOUND), told);
      assertEquals(Optional.empty(), journal.verify());
    }
  }

  @Test
  void aNewerLayoutIsRefused() throws Exception {
    fill(1);
    edit("PRAGMA user_version = 3");
    String message = refusal();
    assertTrue(message.contains("layout version 3"), message);
    edit("PRAGMA user_version = 2");
    assertEquals(Optional.empty(), verify());
  }

  @Test
  void aDatabaseOfSomebodyElseIsRefused() throws Exception {
    edit("CREATE TABLE theirs (x)");
    String message = refusal();
    assertTrue(message.contains("layout version 0 with 1 tables"), message);
  }

  /** sqlite.org, PRAGMA quick_check: reads every page and says which are not as they should be. */
  @Test
  void aDamagedFileIsRefused() throws Exception {
    fill(300);
    try (RandomAccessFile file = new RandomAccessFile(database().toFile(), "rw")) {
      assertTrue(file.length() > 12 * 4096, "several pages");
      file.seek(6 * 4096);
      file.write(new byte[3 * 4096]);
    }
    String message = refusal();
    assertTrue(message.contains("journal.db"), message);
    assertTrue(message.contains("check found") || message.contains("malformed"), message);
  }

  @Test
  void aFileThatIsNoDatabaseIsRefused() throws Exception {
    Files.writeString(database(), "these are invented notes, not a database\n".repeat(99));
    assertTrue(refusal().contains("not a database"), refusal());
  }

  /** Appends, repeats, marks, cursors and reopenings at random against a model in memory. */
  @Test
  void randomUseAgreesWithAModel() throws Exception {
    long seed = System.nanoTime();
    System.out.println("FaultTest seed " + seed);
    Random random = new Random(seed);
    Map<String, Long> positions = new LinkedHashMap<>();
    long mark = 0;
    long cursor = 0;
    Journal journal = Journal.open(folder, TIME);
    try {
      for (int round = 0; round < 150; round++) {
        List<Draft> drafts = new ArrayList<>();
        List<Outcome> expected = new ArrayList<>();
        for (int i = random.nextInt(6); i > 0; i--) {
          String id = "id" + random.nextInt(400);
          Long known = positions.putIfAbsent(id, positions.size() + 1L);
          expected.add(new Outcome(positions.get(id), known != null));
          drafts.add(Drafts.of(id, "{" + random.nextLong() + "}"));
        }
        if (random.nextBoolean()) {
          cursor = random.nextInt((int) journal.head() + 1);
          assertEquals(
              expected, journal.appendFrom("f", cursor, drafts).outcomes(), "seed " + seed);
        } else {
          long number = random.nextInt(1000);
          mark = Math.max(mark, number);
          List<SequenceMark> marks = List.of(new SequenceMark("s", "e", number));
          assertEquals(expected, journal.append(drafts, marks).outcomes(), "seed " + seed);
        }
        if (random.nextInt(25) == 0) {
          journal.close();
          journal = Journal.open(folder, TIME);
        }
        assertEquals(positions.size(), journal.head(), "seed " + seed);
        assertEquals(cursor, journal.cursor("f"), "seed " + seed);
        assertEquals(mark, journal.lastSequence("s", "e").orElse(0), "seed " + seed);
      }
      List<String> ids = journal.read(0, 10_000).stream().map(JournalEntry::id).toList();
      assertEquals(List.copyOf(positions.keySet()), ids, "seed " + seed);
      assertEquals(Optional.empty(), journal.verify());
    } finally {
      journal.close();
    }
  }

  private Path database() {
    return folder.resolve("journal.db");
  }

  private void fill(int entries) throws JournalException {
    try (Journal journal = Journal.open(folder, TIME)) {
      List<Draft> drafts = new ArrayList<>();
      for (int i = 1; i <= entries; i++) {
        drafts.add(Drafts.of("e" + i, "{\"invented\":\"" + "y".repeat(200) + i + "\"}"));
      }
      journal.append(drafts, List.of());
      assertEquals(Optional.empty(), journal.verify());
    }
  }

  private Optional<String> verify() throws JournalException {
    try (Journal journal = Journal.open(folder, TIME)) {
      return journal.verify();
    }
  }

  private String refusal() {
    JournalException refused =
        assertThrows(JournalException.class, () -> Journal.open(folder, TIME));
    assertFalse(refused.full());
    return refused.getMessage();
  }

  private void edit(String sql) throws SQLException {
    try (Connection connection = DriverManager.getConnection("jdbc:sqlite:" + database());
        Statement statement = connection.createStatement()) {
      statement.execute(sql);
    }
  }
}
