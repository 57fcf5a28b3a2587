package org.tallywire.bridge;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Random;
import java.util.Set;
import java.util.TreeSet;
import java.util.concurrent.TimeUnit;
import java.util.stream.Collectors;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.api.parallel.Execution;
import org.junit.jupiter.api.parallel.ExecutionMode;
import org.tallywire.api.LinkAddress;
import org.tallywire.publish.Mosquitto;
import org.tallywire.publish.Subscriber;

/** {@code run} with a configuration file, against a real port and a real broker. */
@Execution(ExecutionMode.CONCURRENT)
class RunIT {

  private static final Duration LIMIT = Duration.ofSeconds(40);
  private static final int READINGS = 21;

  @TempDir private Path folder;

  private Jar jar;

  @BeforeEach
  void prepare() {
    jar = new Jar(folder);
  }

  @AfterEach
  void end() {
    jar.close();
  }

  @Test
  @DisplayName(
      "Killed (kill -9) in mid test set and started again: every reading is there by its id")
  void killed() throws Exception {
    Mosquitto.require();
    long seed = new Random().nextLong();
    Random random = new Random(seed);
    int port = Mosquitto.freePort();
    try (Mosquitto broker = Mosquitto.start(folder, port);
        Subscriber subscriber = Subscriber.start(port, "tallywire/#");
        SimulatorProcess simulator = simulator("--pace=6", "--fault=bad-joint")) {
      SimulatorProcess.Ready ready = simulator.awaitReady();
      writeConfig(ready.address(), broker.port(), 115_200);
      for (int kill = 1; kill <= 2; kill++) {
        Process bridge = jar.start("run", "tallywire.yaml");
        int after = kill * 7 + random.nextInt(4);
        await().atMost(LIMIT).until(() -> ids(subscriber, "reading").size() >= after);
        bridge.destroyForcibly().waitFor();
      }
      Process bridge = jar.start("run", "tallywire.yaml");
      await().atMost(LIMIT).until(() -> ids(subscriber, "test-set").size() == 2);
      bridge.destroy();
      assertTrue(bridge.waitFor(15, TimeUnit.SECONDS), "it did not stop when asked to");

      assertEquals(READINGS, ids(subscriber, "reading").size(), "seed " + seed);
      assertEquals(READINGS, ids(subscriber, "booking").size(), "seed " + seed);
      assertEquals(contents(subscriber, "reading"), READINGS, "one id, two contents, seed " + seed);
      assertEquals(Set.of(), ids(subscriber, "gap"), "seed " + seed);
      Process recheck = jar.start("recheck", "data");
      assertTrue(recheck.waitFor(60, TimeUnit.SECONDS));
      assertEquals(0, recheck.exitValue(), jar.output());
    }
  }

  @Test
  @DisplayName(
      "Unplugged in mid-line and back under the same name, on a noisy line: nothing is lost")
  void unpluggedAndNoisy() throws Exception {
    Mosquitto.require();
    int port = Mosquitto.freePort();
    Path link = folder.resolve("adapter");
    try (Mosquitto broker = Mosquitto.start(folder, port);
        Subscriber subscriber = Subscriber.start(port, "tallywire/#");
        SimulatorProcess simulator =
            simulator("--pace=50", "--noise", "--unplug-after=9", "--link=" + link)) {
      simulator.awaitReady();
      writeConfig(LinkAddress.Serial.at(link.toString(), 115_200), broker.port(), 115_200);
      Process bridge = jar.start("run", "tallywire.yaml");
      await().atMost(LIMIT).until(() -> ids(subscriber, "test-set").size() == 2);
      bridge.destroy();
      assertTrue(bridge.waitFor(15, TimeUnit.SECONDS));
      assertEquals(READINGS, ids(subscriber, "reading").size(), jar.output());
      assertEquals(Set.of(), ids(subscriber, "gap"));
      assertTrue(jar.output().contains("link is down"), jar.output());
    }
  }

  @Test
  @DisplayName("At the wrong speed nothing is recorded and the log asks for the speed")
  void wrongSpeed() throws Exception {
    try (SimulatorProcess simulator = simulator("--pace=50")) {
      writeConfig(simulator.awaitReady().address(), Mosquitto.freePort(), 9_600);
      Process bridge = jar.start("run", "tallywire.yaml");
      await().atMost(LIMIT).until(() -> jar.output().contains("is the speed right"));
      bridge.destroy();
      assertTrue(bridge.waitFor(15, TimeUnit.SECONDS));
    }
  }

  @Test
  @DisplayName("A port that another bridge has open is refused with the process that has it")
  void busyPort() throws Exception {
    try (SimulatorProcess simulator = simulator("--pace=50")) {
      writeConfig(simulator.awaitReady().address(), Mosquitto.freePort(), 115_200);
      Process first = jar.start("run", "tallywire.yaml");
      await().atMost(LIMIT).until(() -> jar.output().contains("the instrument is"));
      Files.writeString(
          folder.resolve("second.yaml"),
          Files.readString(folder.resolve("tallywire.yaml"))
              .replace("data: data", "data: other")
              .replaceAll("(?s)test-sets:.*", ""));
      Process second = jar.start("run", "second.yaml");
      await()
          .atMost(LIMIT)
          .until(
              () ->
                  jar.output()
                      .matches("(?s).*open already, in [^\n]*process " + first.pid() + ".*"));
      second.destroy();
      first.destroy();
      assertTrue(first.waitFor(15, TimeUnit.SECONDS) && second.waitFor(15, TimeUnit.SECONDS));
    }
  }

  private SimulatorProcess simulator(String... arguments) throws IOException {
    List<String> all = new ArrayList<>(List.of("--until-stdin-ends", "--pty"));
    all.addAll(List.of(arguments));
    return SimulatorProcess.start(folder.resolve("simulator"), all);
  }

  private void writeConfig(LinkAddress address, int brokerPort, int baud) throws IOException {
    try (var plate = Demo.class.getResourceAsStream("demo-nameplate.yaml")) {
      Files.write(folder.resolve("plate.yaml"), plate.readAllBytes());
    }
    Files.writeString(
        folder.resolve("tallywire.yaml"),
        """
        site: invented
        data: data
        mqtt:
          broker: tcp://127.0.0.1:%d
        page:
          port: 0
        stations:
          bay-1:
            driver: line
            serial: {port: %s, baud: %d}
        test-sets:
          - {id: set-1, nameplate: plate.yaml, stations: [bay-1]}
        """
            .formatted(brokerPort, ((LinkAddress.Serial) address).port(), baud));
  }

  private static Set<String> ids(Subscriber subscriber, String kind) {
    return subscriber.messages().stream()
        .map(Subscriber.Message::text)
        .filter(record -> Records.member(record, "record").equals(kind))
        .map(record -> Records.member(record, "id"))
        .collect(Collectors.toCollection(TreeSet::new));
  }

  /**
   * Counts the different records of a kind: as many as ids, if a repeat is byte for byte the same.
   */
  private static int contents(Subscriber subscriber, String kind) {
    return (int)
        subscriber.messages().stream()
            .map(Subscriber.Message::text)
            .filter(record -> Records.member(record, "record").equals(kind))
            .distinct()
            .count();
  }
}
