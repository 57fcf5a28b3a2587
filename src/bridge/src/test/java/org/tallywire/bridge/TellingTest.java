package org.tallywire.bridge;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.math.BigDecimal;
import java.time.Instant;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.tallywire.api.ClockQuality;
import org.tallywire.api.Instrument;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.SequenceNumber;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/** How a reading is told in a line. */
class TellingTest {

  private static Reading reading(
      Map<String, String> labels, Optional<SequenceNumber> number, Reading.Status status) {
    return new Reading(
        Instrument.UNNAMED,
        number,
        0,
        labels,
        List.of(
            new Value.Measured(Quantity.TURNS_RATIO, new BigDecimal("15.5895"), new Unit("1")),
            new Value.Missing(Quantity.EXCITATION_CURRENT, new Unit("mA"), Value.Reason.OPEN)),
        status,
        Optional.empty(),
        ClockQuality.NONE,
        Instant.EPOCH,
        "raw");
  }

  @Test
  @DisplayName("A reading is told with its number, its own labels by name, and what is not ok")
  void inALine() {
    Map<String, String> labels = new LinkedHashMap<>();
    labels.put("test", "turns-ratio");
    labels.put("windings", "HV-LV");
    labels.put("phase", "A");
    labels.put("tap", "9");
    labels.put("on-load-tap", "3");
    labels.put("flags", "05");
    assertEquals(
        "turns-ratio HV-LV A tap 9 on-load tap 3 flags 05 number 417: 15.5895, open, not settled",
        Telling.inWords(
            reading(
                labels, Optional.of(new SequenceNumber("n1", 417)), Reading.Status.NOT_SETTLED)));
    labels.keySet().retainAll(List.of("test", "phase"));
    assertEquals(
        "turns-ratio A: 15.5895, open",
        Telling.inWords(reading(labels, Optional.empty(), Reading.Status.OK)));
    assertEquals(
        "15.5895, open, aborted",
        Telling.inWords(reading(Map.of(), Optional.empty(), Reading.Status.ABORTED)));
  }
}
