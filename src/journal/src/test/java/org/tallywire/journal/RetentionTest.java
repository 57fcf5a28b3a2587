package org.tallywire.journal;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.TimeSource;

/** The rules of Journal.cut and of the shelf, each against a real file. */
@Timeout(30)
class RetentionTest {

  private static final Instant START = Instant.parse("2026-03-04T05:06:07Z");
  private static final Instant LATER = START.plus(Duration.ofDays(9));

  /** Each reading of it is a second later. */
  private static final class Steps implements TimeSource {
    private long seconds;

    @Override
    public synchronized Instant now() {
      return START.plusSeconds(seconds++);
    }

    @Override
    public long nanos() {
      return System.nanoTime();
    }
  }

  private final Steps time = new Steps();

  @TempDir Path folder;
  private Journal journal;

  @BeforeEach
  void open() throws Exception {
    journal = Journal.open(folder, time);
  }

  @AfterEach
  void close() {
    journal.close();
  }

  @Test
  void theIdentityIsMadeOnceAndKept() throws Exception {
    String made = journal.identity();
    assertTrue(made.matches("[0-9a-f]{12}"), made);
    reopen();
    assertEquals(made, journal.identity());
    try (Journal other = Journal.open(folder.resolve("other"), time)) {
      assertFalse(made.equals(other.identity()));
    }
  }

  @Test
  void aCutStopsAtItsPositionAndBehindEveryCursor() throws Exception {
    append(1, 10);
    assertEquals(0, journal.anchor().position());
    assertArrayEquals(new byte[32], journal.anchor().digest());
    JournalEntry fourth = journal.find("e4").orElseThrow();
    assertEquals(4, journal.cut(4, LATER).position());
    assertArrayEquals(fourth.digest(), journal.anchor().digest());
    journal.moveCursor("publisher", 8);
    journal.moveCursor("consumer:archive", 6);
    assertEquals(Map.of("publisher", 8L, "consumer:archive", 6L), journal.cursors());
    assertEquals(6, journal.cut(10, LATER).position());
    assertEquals(6, journal.cut(3, LATER).position(), "it never moves back");
    assertEquals(List.of(7L, 8L), positions(journal.read(0, 2)));
    assertEquals(List.of(9L), positions(journal.read(8, 1)));
    assertEquals(Optional.empty(), journal.find("e6"));
    assertEquals(7, journal.find("e7").orElseThrow().position());
    assertEquals(Optional.empty(), journal.verify());
    reopen();
    assertEquals(6, journal.anchor().position());
    assertEquals(10, journal.head());
    assertEquals(Optional.empty(), journal.verify());
  }

  @Test
  void aCutStopsAtTheFirstEntryThatIsTooYoung() throws Exception {
    append(1, 10);
    Instant sixth = journal.find("e6").orElseThrow().writtenAt();
    assertEquals(5, journal.cut(10, sixth).position());
    assertEquals(6, journal.cut(10, sixth.plusNanos(1)).position());
  }

  @Test
  void whatIsShelvedStaysUntilItIsTakenOff() throws Exception {
    append(1, 9);
    journal.shelve("publisher", 5, "too large for the broker");
    journal.shelve("publisher", 5, "again");
    journal.shelve("archive", 3, "no topic");
    List<Shelved> shelf = journal.shelf();
    assertEquals(List.of(3L, 5L), shelf.stream().map(Shelved::position).toList());
    Shelved fifth = shelf.get(1);
    assertEquals("publisher", fifth.follower());
    assertEquals("e5", fifth.id());
    assertEquals("reading", fifth.kind());
    assertEquals("bay-1", fifth.station());
    assertEquals("too large for the broker", fifth.reason());
    assertTrue(fifth.at().isAfter(START) && fifth.at().isBefore(LATER));
    assertEquals(2, journal.cut(9, LATER).position());
    journal.unshelve("archive", 3);
    journal.unshelve("archive", 3);
    assertEquals(4, journal.cut(9, LATER).position());
    JournalException absent =
        assertThrows(JournalException.class, () -> journal.shelve("publisher", 2, "late"));
    assertTrue(absent.getMessage().contains("no entry at position 2"), absent.getMessage());
    assertFalse(absent.full());
    reopen();
    assertEquals(List.of(fifth), journal.shelf());
  }

  @Test
  void aRepeatOfARemovedEntryIsStillARepeat() throws Exception {
    append(1, 5);
    journal.cut(3, LATER);
    assertEquals(
        List.of(new Outcome(2, true), new Outcome(6, false)),
        journal.append(List.of(Drafts.of("e2"), Drafts.of("new")), List.of()).outcomes());
    assertTrue(journal.knows("e2"));
    assertTrue(journal.knows("e5"));
    assertFalse(journal.knows("e9"));
  }

  @Test
  void aJournalCutToItsEndGoesOn() throws Exception {
    append(1, 3);
    assertEquals(3, journal.cut(99, LATER).position());
    reopen();
    assertEquals(3, journal.head());
    assertEquals(List.of(), journal.read(0, 9));
    append(4, 5);
    assertEquals(List.of(4L, 5L), positions(journal.read(0, 9)));
    assertEquals(Optional.empty(), journal.verify());
    try (JournalView view = JournalView.open(folder)) {
      assertEquals(List.of(4L, 5L), positions(view.read(0, 9)));
      assertEquals(3, view.anchor().position());
      assertEquals(5, view.head());
    }
  }

  /** What a cut frees is written again, so that a file that is cut in time stops growing. */
  @Test
  void theSpaceOfRemovedEntriesIsUsedAgain() throws Exception {
    long each = 3L * Retention.CHUNK;
    long second = 0;
    for (int round = 0; round < 8; round++) {
      append(1 + round * each, (round + 1) * each);
      assertEquals((round + 1) * each, journal.cut(Long.MAX_VALUE, LATER).position());
      reopen();
      if (round == 1) {
        second = Files.size(folder.resolve("journal.db"));
      }
    }
    long grown = Files.size(folder.resolve("journal.db")) - second;
    // entries of 8 rounds are about 3.4 MB; what grows are the ids that stay known
    assertTrue(grown < 8 * each * 100, grown + " bytes");
  }

  private void append(long from, long to) throws JournalException {
    List<Draft> drafts = new ArrayList<>();
    for (long i = from; i <= to; i++) {
      drafts.add(Drafts.of("e" + i, "{\"invented\":\"" + "y".repeat(600) + i + "\"}"));
    }
    journal.append(drafts, List.of());
  }

  private void reopen() throws Exception {
    journal.close();
    journal = Journal.open(folder, time);
  }

  private static List<Long> positions(List<JournalEntry> entries) {
    return entries.stream().map(JournalEntry::position).toList();
  }
}
