package org.tallywire.bridge;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.sql.DriverManager;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Set;
import java.util.concurrent.ConcurrentSkipListSet;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.TimeUnit;
import java.util.regex.Pattern;
import java.util.stream.Collectors;
import java.util.stream.Stream;
import org.eclipse.paho.client.mqttv3.MqttClient;
import org.eclipse.paho.client.mqttv3.MqttException;
import org.eclipse.paho.client.mqttv3.persist.MemoryPersistence;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.api.parallel.Execution;
import org.junit.jupiter.api.parallel.ExecutionMode;
import org.tallywire.format.Schemas;
import org.tallywire.publish.Mosquitto;

/** The demo as a newcomer runs it: the packaged jar, in an empty folder. */
@Execution(ExecutionMode.CONCURRENT)
class DemoIT {

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
  @DisplayName("demo --once: every record is valid by its schema, the fault is found, exit 0")
  void once() throws Exception {
    int port = Mosquitto.freePort();
    Process demo = jar.start("demo", "--once", "--mqtt-port", Integer.toString(port));
    List<String> records = new CopyOnWriteArrayList<>();
    Set<String> topics = new ConcurrentSkipListSet<>();
    MqttClient subscriber = subscribe(port, topics, records);
    assertTrue(demo.waitFor(60, TimeUnit.SECONDS), "the demo did not end");
    String output = jar.output();
    assertEquals(0, demo.exitValue(), output);
    subscriber.close(true);

    Schemas schemas = new Schemas();
    for (String record : records) {
      byte[] bytes = record.getBytes(StandardCharsets.UTF_8);
      assertEquals(List.of(), schemas.problems(Records.member(record, "record"), bytes), record);
    }
    List<Pattern> channels = channels();
    for (String topic : topics) {
      assertEquals(1, channels.stream().filter(c -> c.matcher(topic).matches()).count(), topic);
    }
    assertEquals(
        Set.of("reading", "booking", "verdict", "test-set", "state", "tally"),
        records.stream().map(r -> Records.member(r, "record")).collect(Collectors.toSet()));
    assertEquals(
        21, records.stream().filter(r -> Records.member(r, "record").equals("reading")).count());

    assertTrue(output.contains("As it should be: the fault planted in LV phase C"), output);
    assertTrue(output.contains("/dev/pts/"), "no pseudo-terminal was used: " + output);
    try (Stream<Path> left = Files.list(folder)) {
      assertEquals(
          Set.of("output", "tallywire-demo"),
          left.map(path -> path.getFileName().toString()).collect(Collectors.toSet()));
    }
  }

  @Test
  @DisplayName("recheck agrees with the demo to the last digit, and finds a reading changed since")
  void recheck() throws Exception {
    Process demo = jar.start("demo", "--once", "--fault", "none", "--data", "day");
    assertTrue(demo.waitFor(60, TimeUnit.SECONDS));
    assertEquals(0, demo.exitValue(), jar.output());
    assertEquals(0, recheckOf("day"));

    try (var connection =
            DriverManager.getConnection("jdbc:sqlite:" + folder.resolve("day/journal.db"));
        var statement = connection.createStatement()) {
      List<String> lines = new ArrayList<>();
      try (var rows = statement.executeQuery("SELECT payload FROM entry ORDER BY position")) {
        while (rows.next()) {
          String line = new String(rows.getBytes(1), StandardCharsets.UTF_8);
          boolean reading = line.contains("\"record\":\"reading\"");
          lines.add(reading ? line.replace("\"unit\":\"mOhm\"", "\"unit\":\"Ohm\"") : line);
        }
      }
      Files.write(folder.resolve("changed.jsonl"), lines);
      int changed =
          statement.executeUpdate(
              "UPDATE entry SET payload = CAST(replace(CAST(payload AS TEXT), '\"unit\":\"mOhm\"',"
                  + " '\"unit\":\"Ohm\"') AS BLOB) WHERE kind = 'reading'");
      assertTrue(changed > 0);
    }
    assertEquals(Tallywire.NOT_AS_IT_SHOULD_BE, recheckOf("day"));
    assertEquals(Tallywire.NOT_AS_IT_SHOULD_BE, recheckOf("changed.jsonl"));
    String output = jar.output();
    assertTrue(output.contains("the digest chain is broken"), output);
    assertTrue(output.contains("derived now with other figures"), output);
  }

  private int recheckOf(String data) throws Exception {
    Process recheck = jar.start("recheck", data);
    assertTrue(recheck.waitFor(30, TimeUnit.SECONDS));
    return recheck.exitValue();
  }

  /** Returns the channel addresses of the AsyncAPI description, parameters standing for a level. */
  private static List<Pattern> channels() throws IOException {
    String description = Files.readString(Path.of("../../shared/schema/asyncapi.yaml"));
    return Pattern.compile("(?m)^ +address: '(.*)'$")
        .matcher(description)
        .results()
        .map(address -> address.group(1).replaceAll("\\{\\w+}", "[^/]+"))
        .map(Pattern::compile)
        .toList();
  }

  private static MqttClient subscribe(int port, Set<String> topics, List<String> records)
      throws MqttException {
    String uri = "tcp://127.0.0.1:" + port;
    MqttClient client = new MqttClient(uri, "", new MemoryPersistence());
    await()
        .atMost(Duration.ofSeconds(30))
        .pollInterval(Duration.ofMillis(20))
        .ignoreExceptions()
        .until(
            () -> {
              client.connect();
              return true;
            });
    client.subscribe(
        "tallywire/#",
        1,
        (topic, message) -> {
          topics.add(topic);
          records.add(message.toString());
        });
    return client;
  }
}
