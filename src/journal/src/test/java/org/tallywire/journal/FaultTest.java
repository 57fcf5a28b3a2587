package org.tallywire.journal;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.RandomAccessFile;
import java.nio.file.Files;
import java.nio.file.Path;
import java.sql.Connection;
import java.sql.DriverManager;
import java.sql.SQLException;
import java.sql.Statement;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.Random;
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
    assertTrue(message.contains("quick check") || message.contains("malformed"), message);
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
