package org.tallywire.publish;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;
import java.time.Duration;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.concurrent.TimeUnit;
import java.util.stream.IntStream;
import java.util.stream.LongStream;
import org.eclipse.paho.client.mqttv3.MqttClient;
import org.eclipse.paho.client.mqttv3.persist.MemoryPersistence;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;

/** The example in shared/consumer, as a process, against a real broker and a scripted bridge. */
@Timeout(240)
class ConsumerTest {

  private static final Path PROGRAM = Path.of("../../shared/consumer/consumer.py").toAbsolutePath();

  /** Python and two programs more have to be started. */
  private static final Duration SOON = Duration.ofSeconds(60);

  private static final String SITE = "tallywire/hollow-lane/";
  private static final String ONE = "0123456789ab";
  private static final String OTHER = "ba9876543210";

  @TempDir private Path folder;
  private Mosquitto broker;
  private MqttClient bridge;
  private Subscriber confirmations;
  private Process consumer;

  @BeforeEach
  void start() throws Exception {
    Mosquitto.require();
    Programs.require("python3", "stdbuf");
    broker = Mosquitto.start(folder, Mosquitto.freePort());
    bridge =
        new MqttClient(
            "tcp://127.0.0.1:" + broker.port(), "scripted-bridge", new MemoryPersistence());
    bridge.setTimeToWait(SOON.toMillis());
    bridge.connect();
    confirmations = Subscriber.start(broker.port(), SITE + "bridge/confirm/archive");
    startConsumer();
    awaitListening();
  }

  @AfterEach
  void stop() throws Exception {
    if (consumer != null) {
      stopConsumer();
      bridge.disconnectForcibly(0, 500);
      bridge.close();
      confirmations.close();
      broker.close();
    }
  }

  @Test
  void itKeepsEachOnceConfirmsAsksForWhatIsMissingAndGetsIt() throws Exception {
    record(ONE, 1, 2, 3, 3, 1);
    tally(ONE, 1, 3);
    confirmed(ONE, 3);
    assertEquals(ids(1, 2, 3), recorded(), "a repeat is kept once");
    // 5 and 6 never come, 8 lies on the shelf, 10 and its tally come all the same
    record(ONE, 4, 7, 9);
    tally(ONE, 4, 9, 8);
    record(ONE, 10);
    tally(ONE, 10, 10);
    said("MISSING: positions 5 to 6 of journal " + ONE);
    said("at the bridge: tallywire replay tallywire.yaml --from 5 --to 6\n");
    confirmed(ONE, 4);
    // the consumer goes and comes back; what came meanwhile waits at the broker
    stopConsumer();
    record(ONE, 11);
    tally(ONE, 11, 11);
    startConsumer();
    said("MISSING: positions 5 to 6", 2);
    assertEquals("{\"journal\":\"" + ONE + "\",\"position\":4}", last());
    // the replay: the same bytes on the same topics, and tallies of that range
    record(ONE, 5, 6);
    tally(ONE, 5, 6);
    confirmed(ONE, 11);
    // 8 is replayed from the shelf: its tally comes, the record itself is lost on the way
    tally(ONE, 8, 8);
    said("at the bridge: tallywire replay tallywire.yaml --from 8 --to 8\n");
    confirmed(ONE, 7);
    record(ONE, 8);
    tally(ONE, 8, 8);
    confirmed(ONE, 11);
    assertEquals(ids(1, 2, 3, 4, 7, 9, 10, 11, 5, 6, 8), recorded());
  }

  @Test
  void itNoticesAChangedPastAndAnotherJournal() throws Exception {
    record(ONE, 1, 2);
    tally(ONE, 1, 2);
    confirmed(ONE, 2);
    publish("bridge/tally", tallyText(ONE, 1, 2, "ff".repeat(32)));
    said("NOTICE: the digest at position 2 of journal " + ONE);
    record(OTHER, 1);
    tally(OTHER, 1, 1);
    said("NOTICE: the records now come from journal " + OTHER + ", until now from " + ONE);
    confirmed(OTHER, 1);
    record(OTHER, 3);
    tally(OTHER, 3, 3);
    said("--from 2 --to 2");
    publish("bridge/tally", "{\"record\":\"tally\"}");
    said("is no record: KeyError");
    record(OTHER, 2);
    tally(OTHER, 2, 2);
    confirmed(OTHER, 3);
    assertFalse(said().contains("Traceback"), said());
  }

  /** A crash between two bytes of a record: it counts as never received. */
  @Test
  void aLineThatWasCutOffByACrashIsTakenAway() throws Exception {
    record(ONE, 1, 2);
    tally(ONE, 1, 2);
    confirmed(ONE, 2);
    stopConsumer();
    Files.writeString(
        records(), "{\"record\":\"reading\",\"id\":\"0123", StandardOpenOption.APPEND);
    startConsumer();
    record(ONE, 3);
    tally(ONE, 3, 3);
    confirmed(ONE, 3);
    said("was cut off by a crash");
    assertEquals(ids(1, 2, 3), recorded());
  }

  private void startConsumer() throws IOException {
    consumer =
        new ProcessBuilder(
                "python3",
                PROGRAM.toString(),
                "--name",
                "archive",
                "--site",
                "hollow-lane",
                "--records",
                records().toString(),
                "--config",
                "tallywire.yaml",
                "--",
                "-h",
                "127.0.0.1",
                "-p",
                "" + broker.port())
            .redirectErrorStream(true)
            .redirectOutput(ProcessBuilder.Redirect.appendTo(output().toFile()))
            .start();
  }

  /** Sends what is no record until the consumer says so: then it listens. */
  private void awaitListening() {
    await()
        .atMost(SOON)
        .failFast(() -> !consumer.isAlive())
        .until(
            () -> {
              publish("bridge/tally", "probe");
              return said().contains("is no record");
            });
  }

  private void stopConsumer() throws Exception {
    consumer.destroy();
    assertTrue(consumer.waitFor(60, TimeUnit.SECONDS));
  }

  private void record(String journal, int... positions) throws Exception {
    for (int position : positions) {
      publish(
          "bay-" + position % 2 + (position % 3 == 0 ? "/verdict" : "/reading"),
          "{\"record\":\"reading\",\"id\":\"" + id(journal, position) + "\",\"note\":\"ä µ\"}");
    }
  }

  private void tally(String journal, long from, long to, int... shelved) throws Exception {
    publish("bridge/tally", tallyText(journal, from, to, digest(to), shelved));
  }

  private static String tallyText(
      String journal, long from, long to, String digest, int... shelved) {
    List<String> ids =
        LongStream.rangeClosed(from, to).mapToObj(p -> "\"" + id(journal, p) + "\"").toList();
    return ("{\"record\":\"tally\",\"schema\":1,\"journal\":\"%s\",\"from\":%d,\"to\":%d,"
            + "\"ids\":%s,\"shelved\":%s,\"digest\":\"%s\",\"at\":\"2026-11-30T12:00:00Z\"}")
        .formatted(journal, from, to, ids, Arrays.toString(shelved), digest);
  }

  private static String digest(long position) {
    return "%064x".formatted(position);
  }

  private static String id(String journal, long position) {
    return journal + ":1:" + position + ":0";
  }

  private void publish(String topic, String text) throws Exception {
    bridge.publish(SITE + topic, Bench.bytes(text), 1, false);
  }

  private void confirmed(String journal, long position) {
    String wanted = "{\"journal\":\"%s\",\"position\":%d}".formatted(journal, position);
    await()
        .atMost(SOON)
        .failFast(() -> !consumer.isAlive())
        .untilAsserted(() -> assertEquals(wanted, last(), this::said));
  }

  private String last() {
    List<Subscriber.Message> all = confirmations.messages();
    return all.isEmpty() ? "" : all.get(all.size() - 1).text();
  }

  private void said(String words) {
    said(words, 1);
  }

  private void said(String words, int times) {
    await()
        .atMost(SOON)
        .untilAsserted(() -> assertTrue(said().split(words, -1).length > times, this::said));
  }

  private String said() {
    try {
      return Files.readString(output());
    } catch (IOException e) {
      throw new AssertionError(e);
    }
  }

  private List<String> recorded() throws IOException {
    List<String> ids = new ArrayList<>();
    for (String line : Files.readAllLines(records())) {
      ids.add(line.replaceFirst(".*\"id\":\"([^\"]*)\".*", "$1"));
    }
    return ids;
  }

  private static List<String> ids(int... positions) {
    return IntStream.of(positions).mapToObj(p -> id(ONE, p)).toList();
  }

  private Path records() {
    return folder.resolve("records.jsonl");
  }

  private Path output() {
    return folder.resolve("consumer.txt");
  }
}
