package org.tallywire.bridge;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.nio.file.Path;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.Instrument;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.TimeSource;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalException;

class UnrecordedTest {

  @TempDir private Path folder;

  @Test
  @DisplayName("What an instrument cannot send again outlives failed writes, in order, each once")
  void outlivesFailures() throws Exception {
    try (Journal journal = Journal.open(folder, TimeSource.system())) {
      Unrecorded unrecorded =
          new Unrecorded(
              new BridgeConfig.Station(
                  "bay-1",
                  Drivers.shipped().named("line").orElseThrow(),
                  LinkAddress.Serial.at("none", 9600)),
              new Recorder(journal, TimeSource.system()),
              new StationState("bay-1", new StateBoard(TimeSource.system()), TimeSource.system()));
      unrecorded.add(reading("1.0"));
      try (BrokenTable broken = new BrokenTable(folder, "entry")) {
        broken.takeAway();
        assertThrows(JournalException.class, unrecorded::record);
        unrecorded.add(reading("2.0"));
        assertThrows(JournalException.class, unrecorded::record);
      }
      assertTrue(unrecorded.record());
      assertFalse(unrecorded.record(), "nothing is left");
      assertEquals(
          List.of("1:0", "2:0"),
          journal.read(0, 10).stream()
              .map(e -> e.id().replaceFirst("bay-1:[0-9a-f]+:", ""))
              .toList());
    }
  }

  private static Reading reading(String ratio) {
    return Bench.reading(
        Instrument.UNNAMED,
        Optional.empty(),
        Map.of("test", "turns-ratio"),
        List.of(new Value.Measured(Quantity.TURNS_RATIO, new BigDecimal(ratio), Unit.ONE)));
  }
}
