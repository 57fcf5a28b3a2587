package org.tallywire.bridge;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertEquals;

import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.api.parallel.ResourceLock;
import org.tallywire.acceptance.Nameplate;
import org.tallywire.acceptance.Verdict;
import org.tallywire.api.Driver;
import org.tallywire.api.TimeSource;
import org.tallywire.format.CriteriaFile;
import org.tallywire.format.NameplateFile;
import org.tallywire.format.RecordFormat;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.publish.Mosquitto;

/**
 * Fifty different units and instruments, healthy and with a fault, each on a pseudo-terminal of its
 * own, all on one bridge: what is found comes as bytes over the wire.
 */
@ResourceLock("processor") // much is computed
class SeedsIT {

  private static final int UNITS = 50;

  /**
   * Ratio and phase of 15 readings; spread, group and excitation of 5 taps; the steps of 3 phases;
   * deviation and current of 6 resistances; 2 unbalances.
   */
  private static final int VERDICTS = 2 * 15 + 3 * 5 + 3 + 2 * 6 + 2;

  @TempDir private Path folder;

  @Test
  @DisplayName(
      "50 seeds: the healthy unit passes, the bad joint is found in its phase, nothing else")
  void everySeed() throws Exception {
    List<SimulatorProcess.Ready> units = new ArrayList<>();
    try (SimulatorProcess healthy = simulator("none");
        SimulatorProcess faulty = simulator("bad-joint")) {
      for (int i = 0; i < UNITS; i++) {
        units.add(healthy.awaitReady());
      }
      for (int i = 0; i < UNITS; i++) {
        units.add(faulty.awaitReady());
      }
      try (Bridge bridge = Bridge.open(config(units), TimeSource.system())) {
        bridge.start();
        await()
            .atMost(Duration.ofSeconds(60))
            .until(() -> allClosed(bridge.journal(), units.size()));
        Map<String, Map<String, Verdict>> verdicts = verdicts(bridge.journal());
        for (int i = 0; i < units.size(); i++) {
          Planted planted = Planted.of(units.get(i).planted());
          List<Verdict> found = List.copyOf(verdicts.get("unit-" + i).values());
          assertEquals(i < UNITS ? "none" : "bad-joint", planted.fault());
          assertEquals(VERDICTS, found.size(), "seed " + (i % UNITS + 1));
          assertEquals(
              List.of(),
              planted.differences(found),
              "seed %d, %s".formatted(i % UNITS + 1, planted.inWords()));
        }
      }
    }
  }

  private static boolean allClosed(Journal journal, int count) throws Exception {
    for (int i = 0; i < count; i++) {
      if (journal.find("test-set:unit-%d:closed".formatted(i)).isEmpty()) {
        return false;
      }
    }
    return true;
  }

  private SimulatorProcess simulator(String fault) throws Exception {
    return SimulatorProcess.start(
        folder.resolve("simulator-" + fault),
        List.of(
            "--until-stdin-ends",
            "--pty",
            "--seed=1",
            "--pace=1000",
            "--fault=" + fault,
            "--instruments=" + UNITS));
  }

  /** Returns the last verdict of every subject and criterion, by test set. */
  private static Map<String, Map<String, Verdict>> verdicts(Journal journal) throws Exception {
    Map<String, Map<String, Verdict>> verdicts = new HashMap<>();
    long position = 0;
    while (position < journal.head()) {
      for (JournalEntry entry : journal.read(position, 500)) {
        position = entry.position();
        if (entry.kind().equals(RecordFormat.VERDICT)) {
          Verdict verdict = RecordFormat.verdict(entry.payload());
          verdicts
              .computeIfAbsent(verdict.testSet(), id -> new HashMap<>())
              .put(verdict.subject() + " " + verdict.criterion(), verdict);
        }
      }
    }
    return verdicts;
  }

  private BridgeConfig config(List<SimulatorProcess.Ready> units) throws Exception {
    Path plate = folder.resolve("plate.yaml");
    try (var demo = Demo.class.getResourceAsStream("demo-nameplate.yaml")) {
      Files.write(plate, demo.readAllBytes());
    }
    Nameplate nameplate = NameplateFile.read(plate);
    Driver line = Drivers.shipped().named("line").orElseThrow();
    List<BridgeConfig.Station> stations = new ArrayList<>();
    List<BridgeConfig.TestSet> testSets = new ArrayList<>();
    for (int i = 0; i < units.size(); i++) {
      String station = "bay-" + i;
      stations.add(new BridgeConfig.Station(station, line, units.get(i).address()));
      testSets.add(
          new BridgeConfig.TestSet(
              "unit-" + i,
              nameplate,
              CriteriaFile.shipped(CriteriaFile.DEFAULT),
              List.of(station)));
    }
    // nobody listens there: judging must not wait for a broker
    String nowhere = "tcp://127.0.0.1:" + Mosquitto.freePort();
    return new BridgeConfig(
        "invented",
        folder.resolve("data"),
        Optional.empty(),
        Optional.of(
            new BridgeConfig.Broker(
                nowhere, "tallywire", Optional.empty(), Optional.empty(), Optional.empty())),
        new BridgeConfig.Page("127.0.0.1", 0),
        stations,
        testSets,
        List.of());
  }
}
