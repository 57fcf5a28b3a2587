package org.tallywire.bridge;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.acceptance.TestPlan;
import org.tallywire.format.RecordFormat;
import org.tallywire.format.SetupException;
import org.tallywire.format.StateRecord.Word;
import org.tallywire.journal.Draft;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalView;
import org.tallywire.kit.ManualTime;
import org.tallywire.testset.TestSet;
import org.tallywire.testset.TestSetEvent;

/** Days pass by a clock that the test sets; the journal is a real one. */
class RetentionTest {

  private static final Duration DAY = Duration.ofDays(1);

  @TempDir private Path folder;

  private final ManualTime time = new ManualTime();
  private final StateBoard board = new StateBoard(time);
  private final List<String> states = new ArrayList<>();
  private Journal journal;
  private Examination examination;
  private Retention retention;

  @BeforeEach
  void open() throws Exception {
    board.tell((name, record) -> states.add(new String(record, StandardCharsets.UTF_8)));
    board.bridge(Word.RUNNING, "");
    journal = Journal.open(folder.resolve("data"), time);
    examination = Bench.examination(journal, folder.resolve("data"), time, board);
    retention = new Retention(journal, examination::doneWith, true, DAY, time, board);
  }

  @AfterEach
  void close() {
    journal.close();
  }

  @Test
  @DisplayName("What is old goes, but not what publisher, consumer, examiner or open set need")
  void behindEverybody() throws Exception {
    append(Bench.lvResistance(1, "A", "2.40"), Bench.lvResistance(2, "B", "2.41"));
    append(opened("set-a"));
    append(Bench.lvResistance(3, "C", "2.42"));
    examination.catchUp();
    time.pass(DAY.multipliedBy(3));
    append(Bench.lvResistance(4, "A", "2.43"));

    retention.cut();
    assertEquals(0, journal.anchor().position(), "the publisher has published nothing yet");
    journal.moveCursor("publisher", 5);
    journal.moveCursor("consumer:archive", 1);
    retention.cut();
    assertEquals(1, journal.anchor().position());
    assertTrue(last().contains("it waits for consumer \\\"archive\\\" to confirm it"), last());

    journal.moveCursor("consumer:archive", 5);
    retention.cut();
    assertEquals(2, journal.anchor().position(), "set-a is open from position 3 on");
    assertTrue(last().contains("an open test set or the shelf needs it"), last());

    // with the booking and the verdicts that catchUp added
    append(closed("set-a"));
    examination.catchUp();
    long head = journal.head();
    journal.moveCursor("publisher", head);
    journal.moveCursor("consumer:archive", head);
    journal.moveCursor(Examination.CURSOR, head);
    retention.cut();
    assertTrue(journal.anchor().position() >= 4, "the closed set's beginning has gone");
    assertTrue(journal.anchor().position() < head, "the newest are a day old at most");
    assertTrue(last().contains("\"notices\":[]"), last());
  }

  @Test
  @DisplayName("Where no broker is configured nothing waits for one that never publishes")
  void nothingPublishes() throws Exception {
    append(Bench.lvResistance(1, "A", "2.40"));
    examination.catchUp();
    time.pass(DAY.multipliedBy(3));
    append(Bench.lvResistance(2, "B", "2.41"));
    new Retention(journal, examination::doneWith, false, DAY, time, board).cut();
    assertEquals(1, journal.anchor().position());
  }

  @Test
  @DisplayName("A test set that was removed cannot be opened under its id again: it says so")
  void removedTestSet() throws Exception {
    append(opened("set-a"), closed("set-a"));
    examination.catchUp();
    journal.moveCursor("publisher", 2);
    time.pass(DAY.multipliedBy(3));
    retention.cut();
    assertEquals(2, journal.anchor().position());
    journal.close();
    BridgeConfig config =
        Bench.config(
            folder.resolve("data"), Optional.of(DAY), List.of(Bench.testSet(folder, "set-a")));
    try (Bridge bridge = Bridge.open(config, time)) {
      SetupException refused = assertThrows(SetupException.class, bridge::start);
      assertTrue(refused.problems().get(0).contains("a new id"), refused.problems().toString());
    }
  }

  @Test
  @DisplayName("recheck of a journal whose beginning was removed compares what it can and says so")
  void recheck() throws Exception {
    append(opened("set-a"), Bench.lvResistance(1, "A", "2.40"));
    examination.catchUp();
    append(closed("set-a"));
    time.pass(DAY.multipliedBy(3));
    append(opened("set-b"), Bench.lvResistance(2, "A", "2.40"));
    examination.catchUp();
    long verdicts = journal.read(0, 100).stream().filter(e -> e.kind().equals("verdict")).count();
    assertTrue(verdicts >= 2, verdicts + " verdicts");
    journal.cut(1, time.now());
    try (JournalView view = JournalView.open(folder.resolve("data"))) {
      List<String> differences = new ArrayList<>();
      Recheck recheck = Recheck.of(view, differences::add);
      assertEquals(List.of(), differences);
      assertTrue(recheck.cutOff() > 0 && recheck.agreeing() > 0, recheck.agreeing() + " agree");
      assertEquals(verdicts, recheck.cutOff() + recheck.agreeing());
    }
  }

  private void append(Draft... drafts) throws Exception {
    journal.append(List.of(drafts), List.of());
  }

  private Draft opened(String id) throws Exception {
    BridgeConfig.TestSet set = Bench.testSet(folder, id);
    return Drafts.of(
        new TestSetEvent.Opened(
            set.id(),
            time.now(),
            set.stations(),
            set.nameplate(),
            TestPlan.of(set.nameplate()),
            set.criteria()));
  }

  private Draft closed(String id) throws Exception {
    BridgeConfig.TestSet set = Bench.testSet(folder, id);
    return Drafts.of(new TestSet((TestSetEvent.Opened) event(opened(set.id()))).close(time.now()));
  }

  private static TestSetEvent event(Draft draft) throws Exception {
    return RecordFormat.testSetEvent(draft.payload());
  }

  private String last() {
    return states.get(states.size() - 1);
  }
}
