package org.tallywire.bridge;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.TimeUnit;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.api.parallel.Execution;
import org.junit.jupiter.api.parallel.ExecutionMode;
import org.tallywire.publish.Mosquitto;

/** {@code run} against {@code conform bridge}, as two processes. */
@Execution(ExecutionMode.CONCURRENT)
class ConformBridgeIT {

  private static final Duration STARTED = Duration.ofSeconds(20);
  private static final int LIMIT_S = 120;
  private static final Pattern PORT = Pattern.compile("bridge at tcp://127\\.0\\.0\\.1:([0-9]+)");

  @TempDir private Path folder;

  private Jar kit;
  private Jar bridge;

  @BeforeEach
  void prepare() throws Exception {
    kit = new Jar(Files.createDirectory(folder.resolve("kit")));
    bridge = new Jar(Files.createDirectory(folder.resolve("bridge")));
  }

  @AfterEach
  void end() {
    kit.close();
    bridge.close();
  }

  @Test
  @DisplayName("The bridge keeps every rule of the line protocol, over TCP")
  void conforms() throws Exception {
    Process conform =
        kit.start("conform", "bridge", "tcp://127.0.0.1:0", "--transcript", "lines.txt");
    await().atMost(STARTED).until(() -> PORT.matcher(kit.output()).find());
    Matcher port = PORT.matcher(kit.output());
    assertTrue(port.find());
    Files.writeString(
        folder.resolve("bridge/tallywire.yaml"),
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
            tcp: {host: 127.0.0.1, port: %s}
        """
            .formatted(Mosquitto.freePort(), port.group(1)));
    Process run = bridge.start("run", "tallywire.yaml");
    assertTrue(conform.waitFor(LIMIT_S, TimeUnit.SECONDS), () -> "it did not end");
    assertEquals(0, conform.exitValue(), kit.output());
    run.destroy();
    assertTrue(run.waitFor(15, TimeUnit.SECONDS));
    assertTrue(bridge.output().contains("v1=NaN"), "what was refused is told in the log");
  }

  @Test
  @DisplayName(
      "What is wrong on the command line is told in a sentence, before a bridge is waited for")
  void arguments() throws Exception {
    refused("for TCP write tcp://127.0.0.1:4999", "127.0.0.1:4999");
    refused("99999: a port is 1 to 65535", "tcp://127.0.0.1:99999");
    refused("--baud is for a serial port", "tcp://127.0.0.1:0", "--baud", "9600");
    refused("'abc' is not a whole number", "tcp://127.0.0.1:0", "--wait", "abc");
    refused("no scenario has \"nosuch\"", "tcp://127.0.0.1:0", "--only=nosuch");
    refused("cannot be written", "tcp://127.0.0.1:0", "--transcript", "no/such");
    assertFalse(kit.output().contains("Usage:"), kit.output());
    assertFalse(kit.output().contains("waiting for it"), kit.output());
  }

  @Test
  @DisplayName("A run that is stopped tells what was found so far")
  void stopped() throws Exception {
    Process conform = kit.start("conform", "bridge", "tcp://127.0.0.1:0");
    await().atMost(STARTED).until(() -> PORT.matcher(kit.output()).find());
    conform.destroy();
    assertTrue(conform.waitFor(LIMIT_S, TimeUnit.SECONDS), () -> "it did not end");
    assertTrue(kit.output().contains("stopped; so far:"), kit.output());
    assertTrue(
        kit.output().contains("L-27  Skipped numbers: not played: the run was stopped"),
        kit.output());
  }

  private void refused(String sentence, String... arguments) throws Exception {
    List<String> all = new ArrayList<>(List.of("conform", "bridge"));
    all.addAll(List.of(arguments));
    Process process = kit.start(all.toArray(new String[0]));
    assertTrue(process.waitFor(LIMIT_S, TimeUnit.SECONDS), () -> "it did not end");
    assertEquals(Tallywire.SETUP, process.exitValue(), kit.output());
    assertTrue(kit.output().contains(sentence), kit.output());
  }
}
