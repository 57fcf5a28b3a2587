package org.tallywire.bridge;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalLong;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.ClockQuality;
import org.tallywire.api.Instrument;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.SequenceNumber;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.kit.ManualTime;

class RecorderTest {

  private static final Instrument TESTER = new Instrument("Invented", "tester", "007", "0.1");

  @TempDir private Path folder;

  private final ManualTime time = new ManualTime();
  private Journal journal;
  private Recorder recorder;

  @BeforeEach
  void open() throws Exception {
    journal = Journal.open(folder, time);
    recorder = new Recorder(journal, time);
  }

  @AfterEach
  void close() {
    journal.close();
  }

  @Test
  @DisplayName("A reading is identified by source, epoch, number and part, and found again")
  void identity() throws Exception {
    assertEquals(new Recorder.Counted(1, 0), record(numbered(1, "46.2")));
    assertEquals("Invented.tester.007:b1:1:0", entries().get(0).id());
    assertEquals(OptionalLong.of(1), recorder.lastRecorded(TESTER, "bay-1", "b1"));
    assertEquals(OptionalLong.empty(), recorder.lastRecorded(TESTER, "bay-1", "b2"));
  }

  @Test
  @DisplayName("A repeat is recorded once, whenever and however it arrives (R8)")
  void repeat() throws Exception {
    record(numbered(1, "46.2"));
    time.pass(Duration.ofSeconds(5));
    assertEquals(new Recorder.Counted(0, 0), record(numbered(1, "46.2")));
    assertEquals(1, entries().size());
  }

  @Test
  @DisplayName("A repeat that says something else leaves the first and is declared, once (R8)")
  void conflict() throws Exception {
    record(numbered(1, "46.2"));
    assertEquals(new Recorder.Counted(0, 1), record(numbered(1, "46.3")));
    record(numbered(1, "46.3"));
    List<JournalEntry> entries = entries();
    assertEquals(2, entries.size());
    assertEquals("gap", entries.get(1).kind());
    String gap = new String(entries.get(1).payload(), StandardCharsets.UTF_8);
    assertTrue(gap.contains("\"reason\":\"conflict\"") && gap.contains("raw of 46.3"), gap);
    String first = new String(entries.get(0).payload(), StandardCharsets.UTF_8);
    assertTrue(first.contains("\"46.2\""), first);
  }

  @Test
  @DisplayName("A conflict within one batch is declared with it, in the same transaction")
  void conflictInOneBatch() throws Exception {
    Recorder.Batch batch =
        recorder.stamp(
            "bay-1", "line 1.0", List.of(numbered(1, "46.2"), numbered(1, "46.3")), List.of());
    assertEquals(new Recorder.Counted(1, 1), recorder.append(batch));
    assertEquals(new Recorder.Counted(0, 0), recorder.append(batch), "the same batch once more");
  }

  @Test
  @DisplayName("An instrument without numbers gets an epoch of ours, kept over a restart")
  void ownEpoch() throws Exception {
    Instrument unnamed = Instrument.UNNAMED;
    record(reading(unnamed, Optional.empty(), "1.0"));
    record(reading(unnamed, Optional.empty(), "1.0"));
    journal.close();
    open();
    record(reading(unnamed, Optional.empty(), "1.0"));
    List<String> ids = entries().stream().map(JournalEntry::id).toList();
    String epoch = ids.get(0).split(":", -1)[1];
    assertTrue(epoch.matches("[0-9a-f]{12}"), epoch);
    assertEquals(
        List.of("bay-1:" + epoch + ":1:0", "bay-1:" + epoch + ":2:0", "bay-1:" + epoch + ":3:0"),
        ids);
  }

  private Recorder.Counted record(Reading reading) throws Exception {
    return recorder.append(recorder.stamp("bay-1", "line 1.0", List.of(reading), List.of()));
  }

  private List<JournalEntry> entries() throws Exception {
    return journal.read(0, 100);
  }

  private Reading numbered(long number, String ratio) {
    return reading(TESTER, Optional.of(new SequenceNumber("b1", number)), ratio);
  }

  private Reading reading(Instrument who, Optional<SequenceNumber> number, String ratio) {
    return new Reading(
        who,
        number,
        0,
        Map.of("test", "turns-ratio"),
        List.of(new Value.Measured(Quantity.TURNS_RATIO, new BigDecimal(ratio), Unit.ONE)),
        Reading.Status.OK,
        Optional.empty(),
        ClockQuality.NONE,
        time.now(),
        "raw of " + ratio);
  }
}
