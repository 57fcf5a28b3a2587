package org.tallywire.journal;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.BufferedReader;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.TimeUnit;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.TimeSource;

/** A reader that is no owner: beside a bridge, without one, and where there is nothing. */
@Timeout(120)
class ViewTest {

  @TempDir Path folder;

  /** sqlite.org/wal.html: readers do not block the writer, a writer does not block readers. */
  @Test
  void itFollowsAJournalThatAnotherProcessWrites() throws Exception {
    Process writer = OtherProcess.start(folder, "other");
    try (BufferedReader output = OtherProcess.output(writer)) {
      assertEquals("other-1", output.readLine());
      try (JournalView view = JournalView.open(folder)) {
        for (int i = 2; i <= 200; i++) {
          assertEquals("other-" + i, output.readLine());
          assertTrue(view.head() >= i, "what was acknowledged is seen");
        }
        List<JournalEntry> entries = view.read(0, 200);
        for (int i = 0; i < 200; i++) {
          assertEquals(i + 1, entries.get(i).position());
          assertEquals("other-" + (i + 1), entries.get(i).id());
          assertArrayEquals(Drafts.of(entries.get(i).id()).payload(), entries.get(i).payload());
        }
        assertEquals(Optional.empty(), view.verify());
        assertEquals(0, view.anchor().position());
        assertEquals(List.of(), view.shelf());
        assertTrue(view.identity().matches("[0-9a-f]{12}"));
        // the writer's lock is not ours to drop: a second writer is still refused
        assertThrows(JournalException.class, () -> Journal.open(folder, TimeSource.system()));
      }
      assertTrue(output.readLine().startsWith("other-"), "the writer never noticed");
    } finally {
      writer.destroyForcibly();
      assertTrue(writer.waitFor(10, TimeUnit.SECONDS));
    }
    // what a kill left is read as well, without a bridge
    try (JournalView view = JournalView.open(folder)) {
      assertTrue(view.head() >= 201);
      assertEquals(Optional.empty(), view.verify());
    }
  }

  /** POSIX fcntl: closing any descriptor of a file would drop the process's locks on it. */
  @Test
  void besideAJournalOfThisProcessItDropsNoLock() throws Exception {
    try (Journal journal = Journal.open(folder, TimeSource.system())) {
      journal.append(List.of(Drafts.of("a")), List.of());
      try (JournalView view = JournalView.open(folder)) {
        assertEquals(journal.identity(), view.identity());
        assertEquals(1, view.head());
      }
      Process other = OtherProcess.start(folder, "other");
      try (BufferedReader output = OtherProcess.output(other)) {
        String said = output.readLine();
        assertTrue(said.contains("refused"), said);
      } finally {
        other.destroyForcibly();
      }
      journal.append(List.of(Drafts.of("b")), List.of());
      assertEquals(Optional.empty(), journal.verify());
    }
  }

  @Test
  void whereThereIsNoJournalNothingIsCreated() throws Exception {
    JournalException none = assertThrows(JournalException.class, () -> JournalView.open(folder));
    assertTrue(none.getMessage().contains("no journal"), none.getMessage());
    try (Stream<Path> files = Files.list(folder)) {
      assertEquals(0, files.count());
    }
    Path absent = folder.resolve("absent");
    assertThrows(JournalException.class, () -> JournalView.open(absent));
    assertFalse(Files.exists(absent));
  }
}
