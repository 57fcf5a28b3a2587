package org.tallywire.journal;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.ByteBuffer;
import java.nio.channels.FileChannel;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Random;
import java.util.TreeMap;
import java.util.concurrent.CopyOnWriteArrayList;
import org.tallywire.api.TimeSource;

/** A process of its own that fills the small disk it is given, and empties it, several times. */
final class FullDisk {

  private static final int CYCLES = 2 * Integer.getInteger("tallywire.rounds", 1);

  private final Path ballast;
  private final Path folder;
  private final Random random;
  private final List<StorageState> told = new CopyOnWriteArrayList<>();
  private final List<Draft> kept = new ArrayList<>();
  private Journal journal;
  private int refused;

  private FullDisk(Path disk, long seed) throws JournalException {
    this.ballast = disk.resolve("ballast");
    this.folder = disk.resolve("data");
    this.random = new Random(seed);
    this.journal = open();
  }

  /** Prints how it went, or what was wrong; ends with 0 if all was well. */
  public static void main(String[] args) {
    try {
      FullDisk disk = new FullDisk(Path.of(args[0]), Long.parseLong(args[1]));
      for (int cycle = 0; cycle < CYCLES; cycle++) {
        disk.filledByOthers(cycle % 2 == 0);
        disk.filledByItself();
        disk.reserveTakenByOthers();
      }
      disk.requireAll();
      System.out.printf(
          "%d entries kept, %d appends refused, states %s%n",
          disk.kept.size(), disk.refused, disk.told);
      System.exit(0);
    } catch (Throwable e) { // the test that started this reads it
      e.printStackTrace(System.out);
      System.exit(1);
    }
  }

  private Journal open() throws JournalException {
    return Journal.open(folder, TimeSource.system(), (state, sentence) -> told.add(state));
  }

  /** Somebody else fills the disk: entries are refused, the rest goes on; then there is space. */
  private void filledByOthers(boolean idle) throws Exception {
    append(drafts(5, 900));
    grow();
    List<Draft> late = drafts(3, 900);
    refuse(late);
    assertEquals(StorageState.FULL, last());
    for (int i = 0; i < 300; i++) {
      journal.moveCursor("publisher", random.nextInt((int) journal.head() + 1));
    }
    journal.shelve("publisher", journal.head(), "invented reason");
    journal.append(List.of(), List.of(new SequenceMark("s", "e", journal.head())));
    journal.unshelve("publisher", journal.head());
    refuse(late);
    Files.delete(ballast);
    if (idle) {
      await().atMost(Duration.ofSeconds(10)).until(() -> last() == StorageState.SOUND);
    }
    append(late);
    assertEquals(StorageState.SOUND, last());
  }

  /** Its own entries fill what is left, in the middle of a transaction. */
  private void filledByItself() throws Exception {
    long left = ballast.getParent().toFile().getUsableSpace();
    write(Math.max(0, left - (5 << 20)));
    List<Draft> large = drafts(100, 64 << 10);
    refuse(large);
    for (Draft draft : large) {
      assertFalse(journal.knows(draft.id()));
    }
    journal.moveCursor("publisher", journal.head());
    Files.delete(ballast);
    append(drafts(2, 900));
    assertEquals(StorageState.SOUND, last());
    journal.cut(journal.head() - 4, Instant.MAX);
  }

  /** The reserve that was given up is taken by somebody else; then it is opened anew. */
  private void reserveTakenByOthers() throws Exception {
    grow();
    refuse(drafts(1, 900));
    grow();
    List<Draft> late = drafts(2, 900);
    refuse(late);
    try {
      journal.moveCursor("publisher", journal.head());
    } catch (JournalException e) {
      assertTrue(e.full(), e.getMessage());
    }
    journal.close();
    Files.delete(ballast);
    journal = open();
    append(late);
    assertEquals(Optional.empty(), journal.verify());
  }

  private void requireAll() throws Exception {
    journal.close();
    journal = open();
    assertEquals(Optional.empty(), journal.verify());
    assertEquals(kept.size(), journal.head());
    int position = (int) journal.anchor().position();
    for (JournalEntry entry : journal.read(0, kept.size())) {
      Draft draft = kept.get(position++);
      assertEquals(draft.id(), entry.id());
      assertArrayEquals(draft.payload(), entry.payload());
    }
    assertEquals(kept.size(), position);
    for (Draft draft : kept) {
      assertTrue(journal.knows(draft.id()));
    }
    assertEquals(Map.of(), difference());
    journal.close();
  }

  /** A state is told only when it changes, and after every full there is a sound. */
  private Map<Integer, StorageState> difference() {
    Map<Integer, StorageState> wrong = new TreeMap<>();
    for (int i = 1; i < told.size(); i++) {
      if (told.get(i) == StorageState.SOUND && told.get(i - 1) == StorageState.SOUND) {
        wrong.put(i, told.get(i));
      }
    }
    return wrong;
  }

  private StorageState last() {
    return told.isEmpty() ? StorageState.SOUND : told.get(told.size() - 1);
  }

  private void append(List<Draft> drafts) throws JournalException {
    Appended appended = journal.append(drafts, List.of());
    for (int i = 0; i < drafts.size(); i++) {
      kept.add(drafts.get(i));
      assertEquals(new Outcome(kept.size(), false), appended.outcomes().get(i));
    }
  }

  private void refuse(List<Draft> drafts) {
    JournalException full =
        assertThrows(JournalException.class, () -> journal.append(drafts, List.of()));
    assertTrue(full.full(), full.getMessage());
    assertEquals(kept.size(), journal.head());
    refused++;
  }

  private List<Draft> drafts(int count, int length) {
    List<Draft> drafts = new ArrayList<>();
    for (int i = 0; i < count; i++) {
      byte[] payload = new byte[length];
      random.nextBytes(payload);
      drafts.add(new Draft("r" + random.nextLong(), "reading", "bay-1", payload));
    }
    return drafts;
  }

  /** Writes until nothing goes in any more. */
  private void grow() {
    try {
      write(Long.MAX_VALUE);
      throw new AssertionError("the disk never got full");
    } catch (IOException e) {
      assertTrue(ballast.getParent().toFile().getUsableSpace() < 65_536, e.getMessage());
    }
  }

  private void write(long bytes) throws IOException {
    try (FileChannel channel =
        FileChannel.open(
            ballast,
            StandardOpenOption.CREATE,
            StandardOpenOption.WRITE,
            StandardOpenOption.APPEND)) {
      for (long left = bytes; left > 0; ) {
        left -= channel.write(ByteBuffer.allocate((int) Math.min(left, 65_536)));
      }
    }
  }
}
