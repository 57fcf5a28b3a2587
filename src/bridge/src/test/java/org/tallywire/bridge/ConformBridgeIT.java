package org.tallywire.bridge;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
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
}
