package org.tallywire.bridge;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.TimeSource;
import org.tallywire.format.PublishedForm;
import org.tallywire.format.SetupException;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalView;
import org.tallywire.kit.ManualTime;
import org.tallywire.publish.BrokerAddress;
import org.tallywire.publish.Mosquitto;
import org.tallywire.publish.Publisher;
import picocli.CommandLine;

/** Which records a replay takes, and how what lay on the shelf comes off it. */
class ReplayCommandTest {

  private static final Duration HOUR = Duration.ofHours(1);

  @TempDir private Path data;

  @Test
  @DisplayName("A range by position or by the time of writing, also where the clock went back")
  void ranges() throws Exception {
    ManualTime time = new ManualTime();
    Instant eight = time.now();
    try (Journal journal = Journal.open(data, time)) {
      for (int i = 1; i <= 5; i++) {
        journal.append(List.of(Bench.lvResistance(i, "A", "2.4")), List.of());
        time.pass(HOUR);
      }
      // position 6 was written at 09:30 by a clock that an administrator had set back
      time.setWall(eight.plus(HOUR).plusSeconds(1_800));
      journal.append(List.of(Bench.lvResistance(6, "A", "2.4")), List.of());
      try (JournalView view = JournalView.open(data)) {
        assertEquals(new ReplayRange(2, 4), ReplayRange.of(view, "2", Optional.of("4")));
        assertEquals(new ReplayRange(3, 6), ReplayRange.of(view, "3", Optional.empty()));
        assertEquals(
            new ReplayRange(2, 6), ReplayRange.of(view, "2026-01-15T09:00:00Z", Optional.empty()));
        assertEquals(
            new ReplayRange(3, 6),
            ReplayRange.of(view, "2026-01-15T11:00:00+01:00", Optional.of("2026-01-15T10:30:00Z")),
            "6 was written before that, so it is not left out");
        refused(view, "0", "neither a position");
        refused(view, "2026-01-15", "a time with its offset");
        refused(view, "7", "the journal ends at position 6");
        refused(view, "2030-01-01T00:00:00Z", "no entry lies there");
        journal.cut(2, time.now().plus(HOUR.multipliedBy(9)));
        refused(view, "2", "Entries 1 to 2 were removed");
        assertEquals(
            new ReplayRange(3, 6), ReplayRange.of(view, "2020-01-01T00:00:00Z", Optional.empty()));
      }
    }
  }

  private static void refused(JournalView view, String from, String why) {
    SetupException refused =
        assertThrows(SetupException.class, () -> ReplayRange.of(view, from, Optional.empty()));
    assertTrue(refused.problems().get(0).contains(why), refused.problems().toString());
  }

  @Test
  @DisplayName("What a replay has got rid of is taken off the shelf by the bridge, and only that")
  void offTheShelf() throws Exception {
    TimeSource time = TimeSource.system();
    StateBoard board = new StateBoard(time);
    BrokerAddress nobody =
        new BrokerAddress(
            "tcp://127.0.0.1:" + Mosquitto.freePort(),
            "bay",
            Optional.empty(),
            Optional.empty(),
            "tallywire",
            "invented");
    try (Journal journal = Journal.open(data, time);
        Publisher publisher =
            new Publisher(
                journal,
                nobody,
                board.will(),
                new PublishedRecords("invented", PublishedForm.RECORD, time),
                time,
                new Reports(board));
        SignOfLife alive = new SignOfLife(board, data, journal, Optional.of(publisher))) {
      journal.append(
          List.of(
              Bench.lvResistance(1, "A", "2.4"),
              Bench.lvResistance(2, "B", "2.4"),
              Bench.lvResistance(3, "C", "2.4")),
          List.of());
      journal.shelve("publisher", 2, "too large");
      journal.shelve("publisher", 3, "too large");
      publisher.start();
      await().atMost(Duration.ofMinutes(1)).until(() -> publisher.standing().shelved() == 2);
      assertEquals(Tallywire.NOT_AS_IT_SHOULD_BE, shelfCommand());
      // a note that cannot be deleted, of an entry that is not on the shelf: the others go on
      Files.createDirectories(data.resolve("replayed/1/kept"));
      Replayed.note(data, 3);
      Replayed.note(data, 3);
      assertEquals(Set.of(1L, 3L), Replayed.noted(data));
      alive.start();
      await().atMost(Duration.ofMinutes(1)).until(() -> publisher.standing().shelved() == 1);
      assertEquals(2, journal.shelf().get(0).position());
      await().atMost(Duration.ofMinutes(1)).until(() -> Replayed.noted(data).equals(Set.of(1L)));
      Replayed.note(data, 2);
      assertEquals(Tallywire.OK, shelfCommand(), "what has gone out is not listed any more");
    }
  }

  private int shelfCommand() {
    return new CommandLine(new ShelfCommand()).execute(data.toString());
  }
}
