package org.tallywire.journal;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.junit.jupiter.api.Assertions.fail;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.RandomAccessFile;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.OptionalLong;
import java.util.Random;
import java.util.TreeMap;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.TimeSource;

/**
 * Whatever is done to the bytes of a closed journal, or of one that a kill left: each entry that is
 * returned is byte for byte what was appended, in order, and if one is missing somebody is told.
 */
@Timeout(value = 30, unit = TimeUnit.MINUTES)
class DamageTest {

  private static final TimeSource TIME = TimeSource.system();
  private static final int ROUNDS = 40 * Integer.getInteger("tallywire.rounds", 1);
  private static final int PAGE = 4096;
  private static final int ENTRIES = 130;
  private static final int CUT = 10;

  private final Random random = new Random();
  private final Map<String, Integer> outcomes = new TreeMap<>();

  @TempDir Path folder;

  @Test
  void aClosedJournal() throws Exception {
    long seed = seed();
    Path base = folder.resolve("base");
    List<Draft> drafts = new ArrayList<>();
    for (int i = 1; i <= ENTRIES; i++) {
      byte[] payload = new byte[1 + random.nextInt(900)];
      random.nextBytes(payload);
      drafts.add(new Draft("closed-" + i, "reading", "bay-" + i % 7, payload));
    }
    try (Journal journal = Journal.open(base, TIME)) {
      journal.append(drafts, List.of(new SequenceMark("s", "e", ENTRIES)));
      journal.moveCursor("publisher", 90);
      journal.shelve("publisher", 77, "invented reason");
      assertEquals(CUT, journal.cut(CUT, Instant.MAX).position());
    }
    for (int round = 0; round < ROUNDS; round++) {
      String what = "seed %d, round %d: ".formatted(seed, round);
      Path copy = copy(base, round);
      what += damage(copy.resolve(round % 20 == 19 ? "journal.head" : "journal.db"));
      try (Journal journal = Journal.open(copy, TIME)) {
        requireEntries(journal, drafts, CUT, ENTRIES, what);
        assertEquals(OptionalLong.of(ENTRIES), journal.lastSequence("s", "e"), what);
        assertEquals(Map.of("publisher", 90L), journal.cursors(), what);
        assertEquals(77, journal.shelf().get(0).position(), what);
        assertTrue(journal.knows("closed-3"), what);
        count("all is there");
      } catch (JournalException e) {
        count(told(e));
      } catch (RuntimeException | AssertionError e) {
        fail(what, e);
      }
    }
    System.out.println("DamageTest closed, " + ROUNDS + " rounds: " + outcomes);
  }

  @Test
  void aJournalWithItsLogLeftByAKill() throws Exception {
    long seed = seed();
    Path base = folder.resolve("base");
    int acknowledged = fillAndKill(base);
    assertTrue(Files.size(base.resolve("journal.db-wal")) > 10 * PAGE);
    List<Draft> drafts = new ArrayList<>();
    for (int i = 1; i <= acknowledged + 100; i++) {
      drafts.add(Drafts.of("killed-" + i));
    }
    for (int round = 0; round < ROUNDS; round++) {
      String what = "seed %d, round %d: ".formatted(seed, round);
      Path copy = copy(base, round);
      what += damage(copy.resolve(round % 4 == 3 ? "journal.db" : "journal.db-wal"));
      try (Journal journal = Journal.open(copy, TIME)) {
        requireEntries(journal, drafts, 0, acknowledged, what);
        long last = journal.lastSequence("other", "killed").orElse(0);
        assertEquals(journal.head(), last, what);
        count("all is there");
      } catch (JournalException e) {
        count(told(e));
      } catch (RuntimeException | AssertionError e) {
        fail(what, e);
      }
    }
    System.out.println("DamageTest killed, " + ROUNDS + " rounds: " + outcomes);
  }

  /** A mark that says more than the journal has; here the log is gone, without any damage. */
  @Test
  void aDeletedLogIsTold() throws Exception {
    Path base = folder.resolve("base");
    fillAndKill(base);
    Files.delete(base.resolve("journal.db-wal"));
    try (Journal journal = Journal.open(base, TIME)) {
      fail("opened with head " + journal.head());
    } catch (JournalException e) {
      assertTrue(e.getMessage().contains("entries are missing"), e.getMessage());
    }
    try (JournalView view = JournalView.open(base)) {
      fail("viewed with head " + view.head());
    } catch (JournalException e) {
      assertTrue(e.getMessage().contains("layout") || e.damage().isPresent(), e.getMessage());
    }
  }

  private long seed() {
    long seed = Long.getLong("tallywire.seed", System.nanoTime());
    System.out.println("DamageTest seed " + seed);
    random.setSeed(seed);
    return seed;
  }

  private static void requireEntries(
      Journal journal, List<Draft> drafts, int after, int acknowledged, String what)
      throws JournalException {
    int position = after;
    for (List<JournalEntry> page = journal.read(0, 50);
        !page.isEmpty();
        page = journal.read(position, 50)) {
      for (JournalEntry entry : page) {
        Draft draft = drafts.get(position++);
        assertEquals(position, entry.position(), what);
        assertEquals(draft.id(), entry.id(), what);
        assertEquals(draft.kind(), entry.kind(), what);
        assertEquals(draft.station(), entry.station(), what);
        assertArrayEquals(draft.payload(), entry.payload(), what);
      }
    }
    assertTrue(position >= acknowledged, what + ", read " + position + " of " + acknowledged);
  }

  private static String told(JournalException e) {
    String message = String.valueOf(e.getMessage());
    return message.contains("check found")
        ? "told by SQLite's check"
        : e.damage().isPresent() ? "told by a guard, the chain or the mark" : "told by an error";
  }

  private void count(String outcome) {
    outcomes.merge(outcome, 1, Integer::sum);
  }

  private static int fillAndKill(Path base) throws Exception {
    Process process = OtherProcess.start(base, "killed");
    int lines = 0;
    try (BufferedReader output = OtherProcess.output(process)) {
      while (lines < 60) {
        assertEquals("killed-" + ++lines, output.readLine());
      }
      assertTrue(process.toHandle().destroyForcibly());
      assertTrue(process.waitFor(10, TimeUnit.SECONDS));
      StringBuilder rest = new StringBuilder();
      for (int c = output.read(); c >= 0; c = output.read()) {
        rest.append((char) c);
      }
      return lines + (int) rest.chars().filter(c -> c == '\n').count();
    }
  }

  private Path copy(Path base, int round) throws IOException {
    Path copy = Files.createDirectory(folder.resolve("round" + round));
    for (String name : List.of("journal.db", "journal.db-wal", "journal.head")) {
      if (Files.exists(base.resolve(name))) {
        Files.copy(base.resolve(name), copy.resolve(name));
      }
    }
    // of the size of a reserve, so that no time goes into writing one
    try (RandomAccessFile reserve = new RandomAccessFile(copy.resolve("reserve").toFile(), "rw")) {
      reserve.setLength(8 << 20);
    }
    return copy;
  }

  private String flip(byte[] bytes) {
    StringBuilder what = new StringBuilder("bits flipped in bytes");
    for (int i = random.nextInt(8); i >= 0; i--) {
      int at = random.nextInt(bytes.length);
      bytes[at] ^= (byte) (1 << random.nextInt(8));
      what.append(' ').append(at);
    }
    return what.toString();
  }

  /** Flips bits, overwrites a page, cuts the file or swaps two pages; says what it did. */
  private String damage(Path file) throws IOException {
    byte[] bytes = Files.readAllBytes(file);
    int pages = Math.max(1, bytes.length / PAGE);
    // frames of the log are 24 bytes longer than a page, behind a header of 32
    boolean log = file.toString().endsWith("-wal");
    int step = log ? PAGE + 24 : PAGE;
    int first = log ? 32 : 0;
    int a = Math.min(bytes.length - 1, first + step * random.nextInt(pages));
    int b = Math.min(bytes.length - 1, first + step * random.nextInt(pages));
    int length = Math.min(step, bytes.length - Math.max(a, b));
    String what;
    switch (random.nextInt(6)) {
      case 0, 1 -> what = flip(bytes);
      case 2 -> {
        what = "zeros from %d, %d bytes".formatted(a, length);
        Arrays.fill(bytes, a, a + length, (byte) 0);
      }
      case 3 -> {
        what = "noise from %d, %d bytes".formatted(a, length);
        byte[] noise = new byte[length];
        random.nextBytes(noise);
        System.arraycopy(noise, 0, bytes, a, length);
      }
      case 4 -> {
        int kept = random.nextInt(bytes.length);
        what = "cut to %d of %d".formatted(kept, bytes.length);
        bytes = Arrays.copyOf(bytes, kept);
      }
      default -> {
        what = "%d bytes at %d and %d swapped".formatted(length, a, b);
        byte[] held = Arrays.copyOfRange(bytes, a, a + length);
        System.arraycopy(bytes, b, bytes, a, length);
        System.arraycopy(held, 0, bytes, b, length);
      }
    }
    Files.write(file, bytes);
    return file.getFileName() + ", " + what;
  }
}
