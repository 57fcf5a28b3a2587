package org.tallywire.bridge;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertEquals;

import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.acceptance.Nameplate;
import org.tallywire.api.TimeSource;
import org.tallywire.format.CriteriaFile;
import org.tallywire.format.NameplateFile;
import org.tallywire.publish.Mosquitto;

/**
 * Fifty different units and instruments, healthy and with a fault, each on a pseudo-terminal of its
 * own, all on one bridge: what is found comes as bytes over the wire.
 */
class SeedsIT {

  private static final int UNITS = 50;

  @TempDir private Path folder;

  @Test
  @DisplayName("50 seeds: the healthy unit passes every time, with nothing undecided")
  void healthy() throws Exception {
    judge("none");
  }

  @Test
  @DisplayName("50 seeds: the bad joint is found every time, in its phase, and nothing else fails")
  void badJoint() throws Exception {
    judge("bad-joint");
  }

  @Test
  @DisplayName(
      "50 seeds: shorted turns are found every time, in their phase, and nothing else fails")
  void shortedTurns() throws Exception {
    judge("shorted-turns");
  }

  private void judge(String fault) throws Exception {
    List<String> arguments =
        List.of(
            "--until-stdin-ends",
            "--pty",
            "--seed=1",
            "--pace=1000",
            "--fault=" + fault,
            "--instruments=" + UNITS);
    try (SimulatorProcess simulator =
        SimulatorProcess.start(folder.resolve("simulator"), arguments)) {
      List<SimulatorProcess.Ready> units = new ArrayList<>();
      for (int i = 0; i < UNITS; i++) {
        units.add(simulator.awaitReady());
      }
      try (Bridge bridge = Bridge.open(config(units), TimeSource.system())) {
        bridge.start();
        for (int i = 0; i < UNITS; i++) {
          String id = "unit-" + i;
          await()
              .atMost(Duration.ofSeconds(60))
              .until(() -> bridge.journal().find("test-set:" + id + ":closed").isPresent());
          List<String> wrong =
              Planted.of(units.get(i).planted())
                  .differences(CollectedTestSet.from(bridge.journal(), id).verdicts());
          assertEquals(List.of(), wrong, "seed " + (i + 1) + ", fault " + fault);
        }
      }
    }
  }

  private BridgeConfig config(List<SimulatorProcess.Ready> units) throws Exception {
    Path plate = folder.resolve("plate.yaml");
    try (var demo = Demo.class.getResourceAsStream("demo-nameplate.yaml")) {
      Files.write(plate, demo.readAllBytes());
    }
    Nameplate nameplate = NameplateFile.read(plate);
    List<BridgeConfig.Station> stations = new ArrayList<>();
    List<BridgeConfig.TestSet> testSets = new ArrayList<>();
    for (int i = 0; i < units.size(); i++) {
      String station = "bay-" + i;
      stations.add(
          new BridgeConfig.Station(
              station, Drivers.shipped().named("line").orElseThrow(), units.get(i).address()));
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
        new BridgeConfig.Broker(
            nowhere, "tallywire", Optional.empty(), Optional.empty(), Optional.empty()),
        new BridgeConfig.Page("127.0.0.1", 0),
        stations,
        testSets);
  }
}
