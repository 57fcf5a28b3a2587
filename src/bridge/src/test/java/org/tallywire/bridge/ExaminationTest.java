package org.tallywire.bridge;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.sql.Connection;
import java.sql.DriverManager;
import java.sql.PreparedStatement;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.CopyOnWriteArrayList;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.acceptance.TestPlan;
import org.tallywire.acceptance.Verdict;
import org.tallywire.api.TimeSource;
import org.tallywire.format.RecordFormat;
import org.tallywire.journal.Draft;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalView;
import org.tallywire.testset.TestSet;
import org.tallywire.testset.TestSetEvent;

/** Judging over a real journal: what happens to test sets from one start to the next. */
class ExaminationTest {

  @TempDir private Path folder;

  @Test
  @DisplayName("A test set that the next start does not name is closed, and gets nothing any more")
  void abandoned() throws Exception {
    try (Bridge first = start("set-a")) {
      first.journal().append(List.of(Bench.lvResistance(1, "A", "2.4")), List.of());
      await()
          .atMost(Duration.ofMinutes(1))
          .until(() -> ids(first.journal(), "booking").size() == 1);
    }
    try (Bridge second = start("set-b")) {
      assertTrue(second.notices().toString().contains("set-a"), second.notices().toString());
      second.journal().append(List.of(Bench.lvResistance(2, "B", "2.4")), List.of());
      await()
          .atMost(Duration.ofMinutes(1))
          .until(() -> ids(second.journal(), "booking").size() == 2);
      JournalEntry booking = entries(second.journal(), "booking").get(1);
      assertEquals("set-b", RecordFormat.booking(booking.payload()).testSet());
      TestSetEvent.Closed closed =
          (TestSetEvent.Closed)
              RecordFormat.testSetEvent(
                  second.journal().find("test-set:set-a:closed").orElseThrow().payload());
      assertEquals(20, closed.open().size());
    }
  }

  @Test
  @DisplayName("Stopped and started again with the same file, a closed test set is no hindrance")
  void closedBefore() throws Exception {
    try (Bridge first = start("set-a")) {
      first.journal().append(List.of(Bench.lvResistance(1, "A", "2.4")), List.of());
      await()
          .atMost(Duration.ofMinutes(1))
          .until(() -> ids(first.journal(), "booking").size() == 1);
    }
    try (Bridge second = start("set-b")) {
      assertTrue(second.journal().find("test-set:set-a:closed").isPresent());
    }
    try (Bridge third = start("set-a")) {
      assertTrue(third.notices().toString().contains("set-a is closed"), "it says so");
      third.journal().append(List.of(Bench.lvResistance(2, "A", "2.4")), List.of());
      await()
          .atMost(Duration.ofMinutes(1))
          .until(() -> third.journal().cursor(Examination.CURSOR) > 0);
      assertEquals(1, ids(third.journal(), "booking").size(), "the reading stays unbooked");
    }
  }

  @Test
  @DisplayName("A start reads from the oldest open test set on, and knows all of that one")
  void fromTheOldestOpen() throws Exception {
    try (Bridge first = start("set-a")) {
      first.journal().append(List.of(Bench.lvResistance(1, "A", "2.40")), List.of());
      await().until(() -> ids(first.journal(), "booking").size() == 1);
    }
    try (Bridge second = start("set-b")) {
      second.journal().append(List.of(Bench.lvResistance(2, "A", "2.40")), List.of());
      await().until(() -> ids(second.journal(), "booking").size() == 2);
    }
    // whoever reads the closed test set is refused
    spoil("test-set:set-a:opened");
    try (Journal journal = Journal.open(folder.resolve("data"), TimeSource.system());
        Examination examination =
            Bench.examination(
                journal,
                folder.resolve("data"),
                TimeSource.system(),
                new StateBoard(TimeSource.system()))) {
      long opened = journal.find("test-set:set-b:opened").orElseThrow().position();
      assertEquals(opened - 1, journal.cursor(Examination.BEGIN));
      examination.catchUp();
      assertEquals(
          List.of("set-b"),
          examination.openTestSets().stream().map(set -> set.opened().testSet()).toList());
      examination.start();
      journal.append(
          List.of(Bench.lvResistance(3, "B", "2.41"), Bench.lvResistance(4, "C", "2.50")),
          List.of());
      await()
          .until(
              () ->
                  journal.read(opened - 1, 1000).stream()
                      .map(ExaminationTest::text)
                      .anyMatch(text -> text.contains("differ by 4.1")));
    }
  }

  @Test
  @DisplayName("While more and more test sets come and go, the place to begin at keeps up")
  void placeKeepsUp() throws Exception {
    try (Journal journal = Journal.open(folder.resolve("data"), TimeSource.system());
        Examination examination =
            Bench.examination(
                journal,
                folder.resolve("data"),
                TimeSource.system(),
                new StateBoard(TimeSource.system()))) {
      examination.catchUp();
      examination.start();
      List<Draft> unbooked = new ArrayList<>();
      for (int number = 1; number <= 1_100; number++) {
        unbooked.add(Bench.lvResistance(number, "A", "2.40"));
      }
      journal.append(unbooked, List.of());
      await().until(() -> journal.cursor(Examination.BEGIN) >= 1_000);
      assertTrue(journal.cursor(Examination.BEGIN) <= journal.cursor(Examination.CURSOR));
    }
  }

  @Test
  @DisplayName("A failed write costs no verdict and makes none up: after it, recheck agrees")
  void failedWrite() throws Exception {
    List<String> states = new CopyOnWriteArrayList<>();
    StateBoard board = new StateBoard(TimeSource.system());
    board.tell((station, record) -> states.add(new String(record, StandardCharsets.UTF_8)));
    try (Journal journal = Journal.open(folder.resolve("data"), TimeSource.system());
        Examination examination =
            Bench.examination(journal, folder.resolve("data"), TimeSource.system(), board)) {
      BridgeConfig.TestSet set = Bench.testSet(folder, "set-a");
      journal.append(
          List.of(
              Drafts.of(
                  new TestSetEvent.Opened(
                      set.id(),
                      Bench.NOW,
                      set.stations(),
                      set.nameplate(),
                      TestPlan.of(set.nameplate()),
                      set.criteria()))),
          List.of());
      examination.catchUp();
      examination.start();
      // five readings at once: the last two take B and C again
      List<Draft> readings =
          List.of(
              Bench.lvResistance(1, "A", "2.40"),
              Bench.lvResistance(2, "B", "2.90"),
              Bench.lvResistance(3, "C", "2.41"),
              Bench.lvResistance(4, "B", "2.42"),
              Bench.lvResistance(5, "C", "2.50"));
      try (BrokenTable broken = new BrokenTable(folder.resolve("data"), "cursor")) {
        broken.takeAway();
        journal.append(readings, List.of());
        await()
            .atMost(Duration.ofMinutes(1))
            .until(() -> states.toString().contains("Judging waits"));
      }
      await().atMost(Duration.ofMinutes(1)).until(() -> ids(journal, "booking").size() == 5);
      await()
          .atMost(Duration.ofMinutes(1))
          .until(() -> lastUnbalance(journal).map(v -> v.readings().size()).orElse(0) == 3);
      await()
          .atMost(Duration.ofMinutes(1))
          .until(() -> lastUnbalance(journal).orElseThrow().sentence().contains("differ by 4.098"));
      List<String> differences = new ArrayList<>();
      try (JournalView view = JournalView.open(folder.resolve("data"))) {
        Recheck recheck = Recheck.of(view, differences::add);
        assertEquals(List.of(), differences);
        assertTrue(recheck.agreeing() >= 5 + 3, recheck.agreeing() + " verdicts");
      }
    }
  }

  @Test
  @DisplayName(
      "A resistance taken too early and its retake, booked at once: the retake alone counts")
  void retake() throws Exception {
    try (Bridge bridge = start("set-a")) {
      Draft first = Bench.lvResistance(1, "A", "2.60");
      Draft early =
          Bench.changed(
              first, Bench.text(first).replace("\"status\":\"ok\"", "\"status\":\"not-settled\""));
      bridge.journal().append(List.of(early, Bench.lvResistance(2, "A", "2.40")), List.of());
      await()
          .atMost(Duration.ofMinutes(1))
          .until(
              () ->
                  entries(bridge.journal(), "verdict").stream()
                      .anyMatch(e -> text(e).contains("2.40") && text(e).contains("pass")));
      List<String> kinds =
          bridge.journal().read(0, 1000).stream()
              .filter(e -> text(e).contains("winding-resistance/LV/A"))
              .map(JournalEntry::kind)
              .toList();
      assertEquals(List.of("booking", "booking", "verdict"), kinds.subList(1, 4), kinds::toString);
      assertTrue(
          entries(bridge.journal(), "verdict").stream()
              .anyMatch(
                  e -> text(e).contains("resistance-settling") && text(e).contains("undecided")),
          "the early one was judged");
      TestSet collected =
          KnownTestSets.of(bridge.journal()::read, bridge.journal()::find).find("set-a").testSet();
      assertEquals(
          List.of(),
          collected.verdicts().stream()
              .map(Verdict::criterion)
              .filter("resistance-settling"::equals)
              .toList());
    }
  }

  private void spoil(String id) throws Exception {
    try (Connection connection =
            DriverManager.getConnection("jdbc:sqlite:" + folder.resolve("data/journal.db"));
        PreparedStatement change =
            connection.prepareStatement("UPDATE entry SET payload = x'7b7d' WHERE id = ?")) {
      change.setString(1, id);
      assertEquals(1, change.executeUpdate());
    }
  }

  private static String text(JournalEntry entry) {
    return new String(entry.payload(), StandardCharsets.UTF_8);
  }

  private Bridge start(String testSet) throws Exception {
    // the station's port is not there: readings come by the journal, as from a station
    BridgeConfig config =
        Bench.config(
            folder.resolve("data"), Optional.empty(), List.of(Bench.testSet(folder, testSet)));
    Bridge bridge = Bridge.open(config, TimeSource.system());
    bridge.start();
    return bridge;
  }

  private static Optional<Verdict> lastUnbalance(Journal journal) throws Exception {
    Optional<Verdict> last = Optional.empty();
    for (JournalEntry entry : entries(journal, "verdict")) {
      Verdict verdict = RecordFormat.verdict(entry.payload());
      if (verdict.criterion().equals("resistance-unbalance")) {
        last = Optional.of(verdict);
      }
    }
    return last;
  }

  private static List<String> ids(Journal journal, String kind) throws Exception {
    return entries(journal, kind).stream().map(JournalEntry::id).toList();
  }

  private static List<JournalEntry> entries(Journal journal, String kind) throws Exception {
    return journal.read(0, 1000).stream().filter(e -> e.kind().equals(kind)).toList();
  }
}
