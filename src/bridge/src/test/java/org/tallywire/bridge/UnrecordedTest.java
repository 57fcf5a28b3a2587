package org.tallywire.bridge;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.Gap;
import org.tallywire.api.Instrument;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.SequenceNumber;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;
import org.tallywire.format.RecordFormat;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
import org.tallywire.kit.ManualTime;

class UnrecordedTest {

  private static final Duration SECOND = Duration.ofSeconds(1);

  @TempDir private Path folder;

  private final ManualTime time = new ManualTime();
  private final List<String> states = new ArrayList<>();

  @Test
  @DisplayName("What an instrument cannot send again outlives failed writes, in order, each once")
  void outlivesFailures() throws Exception {
    try (Journal journal = Journal.open(folder, time)) {
      Unrecorded unrecorded = unrecorded(journal);
      unrecorded.add(reading("1.0"));
      try (BrokenTable broken = new BrokenTable(folder, "entry")) {
        broken.takeAway();
        assertFalse(unrecorded.record());
        assertTrue(unrecorded.isHolding());
        unrecorded.add(reading("2.0"));
        time.pass(SECOND);
        assertFalse(unrecorded.record());
        assertTrue(states.get(states.size() - 1).contains("2 are held in memory alone"));
      }
      time.pass(SECOND);
      assertTrue(unrecorded.record());
      assertFalse(unrecorded.isHolding());
      assertFalse(unrecorded.record(), "nothing is left");
      assertEquals(List.of("1:0", "2:0"), ids(journal));
      assertFalse(states.get(states.size() - 1).contains("held in memory"));
    }
  }

  @Test
  @DisplayName("What its instrument can send again is not held: the failure goes up, all is kept")
  void instrumentWithMemory() throws Exception {
    try (Journal journal = Journal.open(folder, time)) {
      Unrecorded unrecorded = unrecorded(journal);
      try (BrokenTable broken = new BrokenTable(folder, "entry")) {
        broken.takeAway();
        for (int i = 1; i <= Unrecorded.MOST_HELD; i++) {
          unrecorded.add(numbered(i));
        }
        assertThrows(JournalException.class, unrecorded::record);
        assertFalse(unrecorded.isHolding());
        assertThrows(
            Conversation.StorageFailure.class,
            () -> unrecorded.add(numbered(Unrecorded.MOST_HELD + 1)),
            "more than that is left with the instrument");
      }
      assertTrue(unrecorded.record());
      assertEquals(Unrecorded.MOST_HELD, journal.head());
    }
  }

  @Test
  @DisplayName("At the bound what comes later is counted and becomes a gap with the next numbers")
  void bound() throws Exception {
    try (Journal journal = Journal.open(folder, time)) {
      Unrecorded unrecorded = unrecorded(journal);
      try (BrokenTable broken = new BrokenTable(folder, "entry")) {
        broken.takeAway();
        unrecorded.add(reading("1"));
        assertFalse(unrecorded.record());
        for (int i = 2; i <= Unrecorded.MOST_HELD + 3; i++) {
          unrecorded.add(reading(Integer.toString(i)));
        }
        time.pass(SECOND);
        assertFalse(unrecorded.record());
        String state = states.get(states.size() - 1);
        assertTrue(state.contains("3 after them are lost and become a gap"), state);
      }
      time.pass(SECOND);
      assertTrue(unrecorded.record());
      unrecorded.add(reading("5000"));
      assertTrue(unrecorded.record());
      List<JournalEntry> last = journal.read(Unrecorded.MOST_HELD, 10);
      assertEquals(2, last.size());
      Gap gap = RecordFormat.gap(last.get(0).payload());
      assertEquals(Unrecorded.MOST_HELD + 1, gap.from().number());
      assertEquals(Unrecorded.MOST_HELD + 3, gap.to());
      assertEquals(Gap.Reason.OVERFLOW, gap.reason());
      assertTrue(last.get(1).id().endsWith(":%d:0".formatted(Unrecorded.MOST_HELD + 4)));
    }
  }

  private Unrecorded unrecorded(Journal journal) {
    StateBoard board = new StateBoard(time);
    board.tell((name, record) -> states.add(new String(record, StandardCharsets.UTF_8)));
    return new Unrecorded(
        new BridgeConfig.Station(
            "bay-1",
            Drivers.shipped().named("line").orElseThrow(),
            LinkAddress.Serial.at("none", 9600)),
        new Recorder(journal, time),
        new StationState("bay-1", true, board, time),
        time);
  }

  private static List<String> ids(Journal journal) throws JournalException {
    return journal.read(0, 10).stream()
        .map(e -> e.id().replaceFirst("bay-1:[0-9a-f]+:", ""))
        .toList();
  }

  private static Reading numbered(int number) {
    return Bench.reading(
        Bench.TESTER,
        Optional.of(new SequenceNumber("b1", number)),
        Map.of("test", "turns-ratio"),
        List.of(new Value.Measured(Quantity.TURNS_RATIO, BigDecimal.ONE, Unit.ONE)));
  }

  private static Reading reading(String ratio) {
    return Bench.reading(
        Instrument.UNNAMED,
        Optional.empty(),
        Map.of("test", "turns-ratio"),
        List.of(new Value.Measured(Quantity.TURNS_RATIO, new BigDecimal(ratio), Unit.ONE)));
  }
}
