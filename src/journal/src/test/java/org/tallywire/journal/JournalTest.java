package org.tallywire.journal;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.security.MessageDigest;
import java.sql.Connection;
import java.sql.DriverManager;
import java.sql.ResultSet;
import java.sql.Statement;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalLong;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.Future;
import java.util.concurrent.TimeUnit;
import java.util.stream.LongStream;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.TimeSource;

/** The rules of the journal's Javadoc, each against a real file. */
@Timeout(30)
class JournalTest {

  private static final Instant NOW = Instant.parse("2026-03-04T05:06:07.123456789Z");

  @TempDir Path folder;
  private Journal journal;

  static final TimeSource FIXED =
      new TimeSource() {
        @Override
        public Instant now() {
          return NOW;
        }

        @Override
        public long nanos() {
          return 0;
        }
      };

  @BeforeEach
  void open() throws Exception {
    journal = Journal.open(folder, FIXED);
  }

  @AfterEach
  void close() {
    journal.close();
  }

  @Test
  void whatAppendReturnedForIsSeenByAnotherConnection() throws Exception {
    Appended appended = journal.append(List.of(Drafts.of("a"), Drafts.of("b")), List.of());
    assertEquals(List.of(new Outcome(1, false), new Outcome(2, false)), appended.outcomes());
    assertEquals(2, journal.head());
    try (Connection other = DriverManager.getConnection("jdbc:sqlite:" + file());
        Statement statement = other.createStatement();
        ResultSet rows = statement.executeQuery("SELECT count(*), max(position) FROM entry")) {
      assertEquals(2, rows.getLong(1));
      assertEquals(2, rows.getLong(2));
    }
  }

  @Test
  void anEntryComesBackByteForByte() throws Exception {
    byte[] payload = "{\"note\":\"äöü \\u0000 \uD83D\uDE00\"}".getBytes(StandardCharsets.UTF_8);
    journal.append(List.of(new Draft("x:1", "note", "bay-ü", payload)), List.of());
    JournalEntry entry = journal.find("x:1").orElseThrow();
    assertArrayEquals(payload, entry.payload());
    assertEquals("note", entry.kind());
    assertEquals("bay-ü", entry.station());
    assertEquals(NOW, entry.writtenAt());
    // the rule of the layout table, computed here on its own
    MessageDigest sha = MessageDigest.getInstance("SHA-256");
    sha.update(new byte[32]);
    assertArrayEquals(sha.digest(payload), entry.digest());
    assertEquals(Optional.empty(), journal.find("x:2"));
  }

  @Test
  void aRepeatedIdIsNotWrittenAgain() throws Exception {
    journal.append(List.of(Drafts.of("a", "{1}")), List.of());
    Appended again =
        journal.append(
            List.of(Drafts.of("b"), Drafts.of("a", "{2}"), Drafts.of("b", "{3}")), List.of());
    assertEquals(
        List.of(new Outcome(2, false), new Outcome(1, true), new Outcome(2, true)),
        again.outcomes());
    assertEquals(2, journal.head());
    assertArrayEquals(
        "{1}".getBytes(StandardCharsets.UTF_8), journal.find("a").orElseThrow().payload());
    assertEquals(Optional.empty(), journal.verify());
  }

  @Test
  void readGoesOnAfterAPosition() throws Exception {
    journal.append(List.of(Drafts.of("a"), Drafts.of("b"), Drafts.of("c")), List.of());
    assertEquals(List.of("a", "b"), ids(journal.read(0, 2)));
    assertEquals(List.of("c"), ids(journal.read(2, 2)));
    assertEquals(List.of(), journal.read(3, 2));
  }

  @Test
  void marksNeverMoveBackAndSurvive() throws Exception {
    assertEquals(OptionalLong.empty(), journal.lastSequence("s", "e"));
    journal.append(List.of(Drafts.of("a")), List.of(new SequenceMark("s", "e", 7)));
    journal.append(List.of(Drafts.of("b")), List.of(new SequenceMark("s", "e", 5)));
    assertEquals(OptionalLong.of(7), journal.lastSequence("s", "e"));
    reopen();
    assertEquals(OptionalLong.of(7), journal.lastSequence("s", "e"));
    assertEquals(OptionalLong.empty(), journal.lastSequence("s", "f"));
  }

  @Test
  void anOwnEpochIsMadeOnceAndKept() throws Exception {
    OwnEpoch made = journal.ownEpoch("bay-1");
    assertTrue(made.epoch().matches("[0-9a-f]{12}"), made.epoch());
    assertEquals(0, made.last());
    journal.append(List.of(), List.of(new SequenceMark("bay-1", made.epoch(), 3)));
    reopen();
    assertEquals(new OwnEpoch(made.epoch(), 3), journal.ownEpoch("bay-1"));
    assertFalse(made.epoch().equals(journal.ownEpoch("bay-2").epoch()));
  }

  @Test
  void aCursorMovesWithItsAppend() throws Exception {
    journal.append(List.of(Drafts.of("a"), Drafts.of("b")), List.of());
    assertEquals(0, journal.cursor("examiner"));
    journal.appendFrom("examiner", 2, List.of(Drafts.of("verdict:1")));
    assertEquals(2, journal.cursor("examiner"));
    journal.moveCursor("examiner", 1);
    assertEquals(1, journal.cursor("examiner"));
    assertEquals(0, journal.cursor("publisher"));
    reopen();
    assertEquals(1, journal.cursor("examiner"));
    assertThrows(IllegalArgumentException.class, () -> journal.moveCursor("examiner", 4));
    assertThrows(
        IllegalArgumentException.class, () -> journal.appendFrom("examiner", 9, List.of()));
  }

  @Test
  void manyThreadsShareCommitsAndLoseNothing() throws Exception {
    int threads = 16;
    long each = 50;
    CountDownLatch start = new CountDownLatch(1);
    ExecutorService pool = Executors.newFixedThreadPool(threads);
    List<Future<Long>> lasts = new ArrayList<>();
    for (int t = 0; t < threads; t++) {
      String name = "t" + t + "-";
      lasts.add(
          pool.submit(
              () -> {
                start.await();
                long last = 0;
                for (int i = 0; i < each; i++) {
                  Outcome outcome =
                      journal.append(List.of(Drafts.of(name + i)), List.of()).outcomes().get(0);
                  assertTrue(outcome.position() > last, "one thread's appends keep their order");
                  last = outcome.position();
                  assertTrue(journal.head() >= last);
                }
                return last;
              }));
    }
    start.countDown();
    for (Future<Long> last : lasts) {
      last.get(20, TimeUnit.SECONDS);
    }
    pool.shutdown();
    assertEquals(threads * each, journal.head());
    assertTrue(journal.commits() < threads * each, journal.commits() + " commits");
    assertEquals(
        LongStream.rangeClosed(1, threads * each).boxed().toList(),
        journal.read(0, 10_000).stream().map(JournalEntry::position).toList());
    assertEquals(Optional.empty(), journal.verify());
  }

  @Test
  void awaitBeyondEndsAtACommitAtItsTimeAndAtClose() throws Exception {
    assertFalse(journal.awaitBeyond(0, Duration.ofMillis(20)));
    CountDownLatch seen = new CountDownLatch(1);
    Thread waiter =
        new Thread(
            () -> {
              try {
                if (journal.awaitBeyond(0, Duration.ofSeconds(20))) {
                  seen.countDown();
                }
                journal.awaitBeyond(1, Duration.ofSeconds(20));
              } catch (InterruptedException e) {
                Thread.currentThread().interrupt();
              }
            });
    waiter.start();
    journal.append(List.of(Drafts.of("a")), List.of());
    assertTrue(seen.await(5, TimeUnit.SECONDS));
    await().until(() -> waiter.getState() == Thread.State.TIMED_WAITING);
    journal.close();
    waiter.join(5_000);
    assertFalse(waiter.isAlive());
  }

  @Test
  void anInterruptedThreadStillHearsWhatBecameOfItsAppend() throws Exception {
    Thread.currentThread().interrupt();
    Appended appended = journal.append(List.of(Drafts.of("a")), List.of());
    assertTrue(Thread.interrupted(), "the interrupt is kept for the caller");
    assertEquals(1, appended.outcomes().get(0).position());
  }

  @Test
  void closingTwiceIsHarmlessAndALateCallSaysSo() throws Exception {
    journal.append(List.of(Drafts.of("a")), List.of());
    journal.close();
    journal.close();
    JournalException late =
        assertThrows(
            JournalException.class, () -> journal.append(List.of(Drafts.of("b")), List.of()));
    assertTrue(late.getMessage().contains("closed"), late.getMessage());
    assertThrows(JournalException.class, () -> journal.read(0, 1));
    journal = Journal.open(folder, FIXED);
    assertEquals(1, journal.head());
  }

  private Path file() {
    return folder.resolve("journal.db");
  }

  private void reopen() throws Exception {
    journal.close();
    journal = Journal.open(folder, FIXED);
  }

  private static List<String> ids(List<JournalEntry> entries) {
    return entries.stream().map(JournalEntry::id).toList();
  }
}
