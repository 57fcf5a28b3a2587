package org.tallywire.bridge;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.Draft;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.JournalView;

/** A walk through a journal jumps over nothing without a word. */
class JournalWalkTest {

  private static final int ALL = 700;

  @TempDir private Path data;

  @Test
  @DisplayName("What retention removes under way ends the walk; what it removed before does not")
  void removedMeanwhile() throws Exception {
    try (Journal journal = Journal.open(data, TimeSource.system())) {
      List<Draft> drafts = new ArrayList<>();
      for (int i = 1; i <= ALL; i++) {
        drafts.add(Bench.lvResistance(i, "A", "2.4"));
      }
      journal.append(drafts, List.of());
      try (JournalView view = JournalView.open(data)) {
        JournalException removed =
            assertThrows(JournalException.class, () -> walk(view, journal, 400));
        assertTrue(removed.getMessage().contains("entry 257 "), removed.getMessage());
        assertEquals(ALL - 400, walk(view, journal, 0));
        removed = assertThrows(JournalException.class, () -> walk(view, journal, ALL));
        assertTrue(removed.getMessage().contains("entry 657 "), removed.getMessage());
      }
    }
  }

  /** Returns how many were visited; at the first one everything up to a position is removed. */
  private static int walk(JournalView view, Journal journal, long removed) throws JournalException {
    List<Long> visited = new ArrayList<>();
    JournalWalk.<JournalException>over(
        view::read,
        ALL,
        entry -> {
          visited.add(entry.position());
          if (visited.size() == 1 && removed > 0) {
            journal.cut(removed, TimeSource.system().now().plusSeconds(3_600));
          }
        });
    return visited.size();
  }
}
