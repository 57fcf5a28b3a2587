package org.tallywire.bridge;

import java.io.BufferedWriter;
import java.io.IOException;
import java.io.PrintWriter;
import java.io.Writer;
import java.math.BigDecimal;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import org.tallywire.acceptance.Nameplate;
import org.tallywire.api.ClockQuality;
import org.tallywire.api.Instrument;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.RecordedReading;
import org.tallywire.api.SequenceNumber;
import org.tallywire.api.TimeSource;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;
import org.tallywire.format.CriteriaFile;
import org.tallywire.format.NameplateFile;
import org.tallywire.format.RecordFormat;
import org.tallywire.format.SetupException;
import org.tallywire.journal.Draft;
import org.tallywire.journal.Journal;
import org.tallywire.publish.Mosquitto;

/** Readings of an invented tester on an invented bench, and the demo's nameplate. */
final class Bench {

  static final Instant NOW = Instant.parse("2026-01-15T08:00:00Z");
  static final Instrument TESTER = new Instrument("Invented", "tester", "007", "0.1");

  private Bench() {}

  static Nameplate nameplate(Path folder) throws IOException, SetupException {
    Path file = folder.resolve("plate.yaml");
    try (var plate = Demo.class.getResourceAsStream("demo-nameplate.yaml")) {
      Files.write(file, plate.readAllBytes());
    }
    return NameplateFile.read(file);
  }

  static BridgeConfig.TestSet testSet(Path folder, String id) throws IOException, SetupException {
    return new BridgeConfig.TestSet(
        id, nameplate(folder), CriteriaFile.shipped(CriteriaFile.DEFAULT), List.of("bay-1"));
  }

  /** Returns a resistance reading of an LV phase as an entry to be. */
  static Draft lvResistance(int number, String phase, String milliohms) {
    Map<String, String> labels = new LinkedHashMap<>();
    labels.put("test", "winding-resistance");
    labels.put("windings", "LV");
    labels.put("phase", phase);
    String id = "Invented.tester.007:b1:%d:0".formatted(number);
    Reading reading =
        reading(
            TESTER,
            Optional.of(new SequenceNumber("b1", number)),
            labels,
            List.of(
                new Value.Measured(
                    Quantity.WINDING_RESISTANCE, new BigDecimal(milliohms), new Unit("mOhm")),
                new Value.Measured(
                    Quantity.WINDING_TEMPERATURE, new BigDecimal("20.0"), Unit.CELSIUS)));
    return new Draft(
        id,
        RecordFormat.READING,
        "bay-1",
        RecordFormat.write(new RecordedReading(id, "bay-1", "line 1.0", reading)));
  }

  /**
   * Returns an examination of a journal in that folder, for a bridge with the stations of the
   * bench.
   */
  static Examination examination(Journal journal, Path data, TimeSource time, StateBoard board) {
    return new Examination(journal, new Inbox(data), Set.of("bay-1", "bay-2"), time, board);
  }

  /** Returns a writer that keeps back what is only printed, as the one to the console does. */
  static PrintWriter console(Writer to) {
    return new PrintWriter(new BufferedWriter(to), true);
  }

  static String text(Draft draft) {
    return new String(draft.payload(), StandardCharsets.UTF_8);
  }

  /** Returns a reading as an entry to be, with another content. */
  static Draft changed(Draft draft, String content) {
    return new Draft(
        draft.id(), draft.kind(), draft.station(), content.getBytes(StandardCharsets.UTF_8));
  }

  static Reading reading(
      Instrument who,
      Optional<SequenceNumber> number,
      Map<String, String> labels,
      List<Value> values) {
    return new Reading(
        who,
        number,
        0,
        labels,
        values,
        Reading.Status.OK,
        Optional.empty(),
        ClockQuality.NONE,
        NOW,
        "raw");
  }

  /** A bridge's configuration without a station, at a broker where nobody listens. */
  static BridgeConfig config(
      Path data, Optional<Duration> keep, List<BridgeConfig.TestSet> testSets) throws IOException {
    return new BridgeConfig(
        "invented",
        data,
        keep,
        Optional.of(
            new BridgeConfig.Broker(
                "tcp://127.0.0.1:" + Mosquitto.freePort(),
                "tallywire",
                Optional.empty(),
                Optional.empty(),
                Optional.empty())),
        new BridgeConfig.Page("127.0.0.1", 0),
        List.of(),
        testSets,
        List.of());
  }
}
