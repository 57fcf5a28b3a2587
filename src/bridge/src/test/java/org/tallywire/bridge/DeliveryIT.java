package org.tallywire.bridge;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.io.OutputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Set;
import java.util.TreeSet;
import java.util.concurrent.TimeUnit;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Collectors;
import org.eclipse.paho.client.mqttv3.MqttClient;
import org.eclipse.paho.client.mqttv3.persist.MemoryPersistence;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.Assumptions;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.api.parallel.Execution;
import org.junit.jupiter.api.parallel.ExecutionMode;
import org.junit.jupiter.api.parallel.ResourceLock;
import org.tallywire.api.LinkAddress;
import org.tallywire.publish.Mosquitto;
import org.tallywire.publish.Subscriber;

/** What becomes of records behind the journal, and where there is no space for them. */
@Execution(ExecutionMode.CONCURRENT)
@ResourceLock("processor") // times are checked here, or much is computed
class DeliveryIT {

  private static final Duration LIMIT = Duration.ofSeconds(60);
  private static final int READINGS = 21;
  private static final int DISK_MIB = 32;

  @TempDir private Path folder;

  private Jar jar;

  @BeforeEach
  void prepare() {
    Mosquitto.require();
    jar = new Jar(folder);
  }

  @AfterEach
  void end() {
    jar.close();
  }

  @Test
  @DisplayName(
      "A consumer confirms and the state says so; a replay, while the bridge runs and after, sends"
          + " the same bytes")
  void confirmAndReplay() throws Exception {
    int port = Mosquitto.freePort();
    try (Mosquitto broker = Mosquitto.start(folder, port);
        Subscriber subscriber = Subscriber.start(port, "tallywire/#");
        SimulatorProcess simulator = simulator("--pace=100", "--fault=none")) {
      writeConfig(simulator.awaitReady().address(), broker.port());
      Process bridge = jar.start("run", "tallywire.yaml");
      await().atMost(LIMIT).until(() -> of(subscriber, "test-set").size() == 2);
      await()
          .atMost(LIMIT)
          .until(() -> accepted(subscriber).equals("" + counted(subscriber).size()));
      String head = accepted(subscriber);
      String journal = Records.member(last(subscriber, "tally"), "journal");
      confirm(port, "{\"journal\":\"%s\",\"position\":%s}".formatted(journal, head));
      await()
          .atMost(LIMIT)
          .until(
              () ->
                  last(subscriber, "state\",\"schema\":1,\"id\":\"state:bridge")
                      .contains("\"confirmed\":{\"archive\":%s}".formatted(head)));
      Map<String, Long> once = counted(subscriber);

      assertEquals(0, run("replay", "tallywire.yaml", "--from", "1"), jar.output());
      assertTrue(
          jar.output().contains("%s of %s records accepted by the broker".formatted(head, head)));
      await().atMost(LIMIT).until(() -> counted(subscriber).equals(times(once, 2)));
      assertEquals(0, run("journal", "data", "--verify"), jar.output());
      assertTrue(jar.output().contains("confirmed by archive: " + head + ", all"), jar.output());
      bridge.destroy();
      assertTrue(bridge.waitFor(15, TimeUnit.SECONDS));

      // a time without an end: all of it was written since
      assertEquals(
          0, run("replay", "tallywire.yaml", "--from", "2020-01-01T01:00:00+01:00"), jar.output());
      await().atMost(LIMIT).until(() -> counted(subscriber).equals(times(once, 3)));
      assertEquals(Set.of(), shelvedInTallies(subscriber));
    }
  }

  @Test
  @DisplayName(
      "The journal's disk gets full: the state says so, the instrument keeps its readings, and all"
          + " arrive once there is space")
  void fullDisk() throws Exception {
    Path data = Files.createDirectory(folder.resolve("data"));
    List<String> onSmallDisk =
        List.of(
            "unshare",
            "-Urm",
            "sh",
            "-c",
            "mount -t tmpfs -o size=%dm tmpfs '%s' && exec \"$@\"".formatted(DISK_MIB, data),
            "sh");
    Assumptions.assumeTrue(works(onSmallDisk), "no small file system can be mounted here");
    int port = Mosquitto.freePort();
    try (Mosquitto broker = Mosquitto.start(folder, port);
        Subscriber subscriber = Subscriber.start(port, "tallywire/#");
        SimulatorProcess simulator = simulator("--pace=20", "--fault=none")) {
      writeConfig(simulator.awaitReady().address(), broker.port());
      Process bridge = jar.start(onSmallDisk, "run", "tallywire.yaml");
      await().atMost(LIMIT).until(() -> of(subscriber, "reading").size() >= 3);
      // the disk as that process sees it
      Path ballast = Path.of("/proc/" + bridge.pid() + "/root" + data + "/ballast");
      fill(ballast);
      await()
          .atMost(LIMIT)
          .until(
              () ->
                  last(subscriber, "state\",\"schema\":1,\"id\":\"state:bridge")
                      .contains("\"storage\":\"full\""));
      await()
          .atMost(LIMIT)
          .until(
              () ->
                  last(subscriber, "state\",\"schema\":1,\"id\":\"state:bay-1")
                      .contains("Nothing is acknowledged: there is no space"));
      int before = of(subscriber, "reading").size();
      assertTrue(before < READINGS, before + " readings were faster than the ballast");
      Files.delete(ballast);
      await().atMost(LIMIT).until(() -> of(subscriber, "test-set").size() == 2);
      bridge.destroy();
      assertTrue(bridge.waitFor(15, TimeUnit.SECONDS));
      assertEquals(READINGS, of(subscriber, "reading").size(), jar.output());
      assertEquals(READINGS, contents(subscriber), "one id, two contents");
      assertEquals(Set.of(), of(subscriber, "gap"));
      String log = jar.output();
      assertEquals(2, log.split("no space for entries of the journal", -1).length, log);
      assertEquals(2, log.split("there is space again for the journal", -1).length, log);
    }
  }

  private int run(String... arguments) throws Exception {
    Process process = jar.start(arguments);
    assertTrue(process.waitFor(LIMIT.toSeconds(), TimeUnit.SECONDS), "it did not end");
    return process.exitValue();
  }

  private static boolean works(List<String> by) throws Exception {
    List<String> command = new ArrayList<>(by);
    command.add("true");
    try {
      Process process =
          new ProcessBuilder(command)
              .redirectErrorStream(true)
              .redirectOutput(ProcessBuilder.Redirect.DISCARD)
              .start();
      return process.waitFor(60, TimeUnit.SECONDS) && process.exitValue() == 0;
    } catch (IOException e) {
      return false; // no such program
    }
  }

  private static void fill(Path file) throws IOException {
    byte[] block = new byte[65_536];
    try (OutputStream out =
        Files.newOutputStream(file, StandardOpenOption.CREATE, StandardOpenOption.APPEND)) {
      for (int i = 0; i < DISK_MIB * 16; i++) {
        out.write(block);
      }
    } catch (IOException e) {
      assertTrue(String.valueOf(e.getMessage()).contains("space"), e.toString());
      return;
    }
    throw new IOException("the disk did not get full");
  }

  private static void confirm(int port, String payload) throws Exception {
    try (MqttClient archive =
        new MqttClient("tcp://127.0.0.1:" + port, "archive", new MemoryPersistence())) {
      archive.connect();
      archive.publish(
          "tallywire/invented/bridge/confirm/archive",
          payload.getBytes(StandardCharsets.UTF_8),
          1,
          false);
      archive.disconnect();
    }
  }

  private SimulatorProcess simulator(String... arguments) throws IOException {
    List<String> all = new ArrayList<>(List.of("--until-stdin-ends", "--pty"));
    all.addAll(List.of(arguments));
    return SimulatorProcess.start(folder.resolve("simulator"), all);
  }

  private void writeConfig(LinkAddress address, int brokerPort) throws IOException {
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
          consumers: [archive]
        page:
          port: 0
        stations:
          bay-1:
            driver: line
            serial: {port: %s, baud: 115200}
        test-sets:
          - {id: set-1, nameplate: plate.yaml, stations: [bay-1]}
        """
            .formatted(brokerPort, ((LinkAddress.Serial) address).port()));
  }

  /** Returns the last record that begins so. */
  private static String last(Subscriber subscriber, String begin) {
    return subscriber.messages().stream()
        .map(Subscriber.Message::text)
        .filter(record -> record.startsWith("{\"record\":\"" + begin))
        .reduce("", (a, b) -> b);
  }

  /** Returns the position up to which the broker has all, once that is all there is. */
  private static String accepted(Subscriber subscriber) {
    String state = last(subscriber, "state\",\"schema\":1,\"id\":\"state:bridge");
    String journalled = number(state, "journalled");
    return journalled.equals(number(state, "accepted")) ? journalled : "";
  }

  private static String number(String record, String name) {
    Matcher matcher = Pattern.compile("\"" + name + "\":([0-9]+)").matcher(record);
    return matcher.find() ? matcher.group(1) : "";
  }

  private static Set<String> of(Subscriber subscriber, String kind) {
    return subscriber.messages().stream()
        .map(Subscriber.Message::text)
        .filter(record -> record.startsWith("{\"record\":\"" + kind + "\""))
        .map(record -> Records.member(record, "id"))
        .collect(Collectors.toCollection(TreeSet::new));
  }

  private static long contents(Subscriber subscriber) {
    return subscriber.messages().stream()
        .map(Subscriber.Message::text)
        .filter(record -> record.startsWith("{\"record\":\"reading\""))
        .distinct()
        .count();
  }

  /** Counts how often each record came that is in the journal, topic and bytes as they are. */
  private static Map<String, Long> counted(Subscriber subscriber) {
    return subscriber.messages().stream()
        .filter(message -> !message.text().startsWith("{\"record\":\"state\""))
        .filter(message -> !message.text().startsWith("{\"record\":\"tally\""))
        .filter(message -> !message.topic().contains("/confirm/"))
        .collect(Collectors.groupingBy(m -> m.topic() + " " + m.text(), Collectors.counting()));
  }

  private static Map<String, Long> times(Map<String, Long> counted, long factor) {
    return counted.entrySet().stream()
        .collect(Collectors.toMap(Map.Entry::getKey, entry -> entry.getValue() * factor));
  }

  private static Set<String> shelvedInTallies(Subscriber subscriber) {
    return subscriber.messages().stream()
        .map(Subscriber.Message::text)
        .filter(record -> record.startsWith("{\"record\":\"tally\""))
        .filter(record -> !record.contains("\"shelved\":[]"))
        .collect(Collectors.toSet());
  }
}
