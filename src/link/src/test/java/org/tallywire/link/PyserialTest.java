package org.tallywire.link;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.junit.jupiter.api.Assertions.fail;

import java.io.BufferedReader;
import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.InputStream;
import java.io.InputStreamReader;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.TimeUnit;
import java.util.stream.Stream;
import org.junit.jupiter.api.Assumptions;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.ControlLines;
import org.tallywire.api.Link;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.SerialSettings;
import org.tallywire.api.SerialSettings.FlowControl;
import org.tallywire.api.SerialSettings.Parity;
import org.tallywire.api.SerialSettings.StopBits;

/** RFC 2217 against somebody else's server side, that of pyserial: an outside check. */
class PyserialTest {

  private static final Duration SOON = Duration.ofSeconds(10);

  @TempDir private Path folder;

  @Test
  @DisplayName("pyserial's server takes every setting, another speed, and all 256 bytes both ways")
  void understands() throws Exception {
    Path script = folder.resolve("server.py");
    try (InputStream in = PyserialTest.class.getResourceAsStream("pyserial_server.py")) {
      Files.copy(in, script);
    }
    Process server =
        new ProcessBuilder(python(), "-B", script.toString())
            .redirectError(folder.resolve("errors").toFile())
            .start();
    try (BufferedReader said =
        new BufferedReader(
            new InputStreamReader(server.getInputStream(), StandardCharsets.US_ASCII))) {
      int port = Integer.parseInt(awaitLine(said, "ready ").substring("ready ".length()));
      SerialSettings settings =
          new SerialSettings(65_280, 7, Parity.ODD, StopBits.TWO, FlowControl.XON_XOFF);
      try (Link link =
          NetworkSerialLink.open(
              new LinkAddress.NetworkSerial(
                  "127.0.0.1", port, settings, new ControlLines(true, false, Duration.ZERO)))) {
        awaitLine(said, "set 65280 7 O 2 1 0 1 0");
        byte[] all = new byte[256];
        for (int i = 0; i < all.length; i++) {
          all[i] = (byte) i;
        }
        link.write(all);
        assertArrayEquals(all, heard(link, all.length));
        link.speed(300);
        awaitLine(said, "set 300 7 O 2 1 0 1 0");
      }
    } finally {
      server.destroyForcibly();
    }
  }

  /** Returns a Python that has it; without one skips, or fails on a build server. */
  private static String python() {
    Optional<String> found =
        Stream.of("python3", "/usr/bin/python3").filter(PyserialTest::hasSerial).findFirst();
    if (found.isEmpty() && "true".equals(System.getenv("CI"))) {
      fail("needed on the build server: python3-serial");
    }
    Assumptions.assumeTrue(found.isPresent(), "no python3 with pyserial");
    return found.get();
  }

  private static boolean hasSerial(String python) {
    try {
      Process process =
          new ProcessBuilder(List.of(python, "-c", "import serial.rfc2217"))
              .redirectErrorStream(true)
              .redirectOutput(ProcessBuilder.Redirect.DISCARD)
              .start();
      return process.waitFor(20, TimeUnit.SECONDS) && process.exitValue() == 0;
    } catch (IOException e) {
      return false;
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
      return false;
    }
  }

  private static String awaitLine(BufferedReader said, String start) throws Exception {
    CompletableFuture<String> line =
        CompletableFuture.supplyAsync(
            () -> said.lines().filter(each -> each.startsWith(start)).findFirst().orElse(""));
    String found = line.get(SOON.toMillis(), TimeUnit.MILLISECONDS);
    assertTrue(found.startsWith(start), "it ended before it said: " + start);
    return found;
  }

  private static byte[] heard(Link link, int length) throws IOException {
    ByteArrayOutputStream heard = new ByteArrayOutputStream();
    byte[] buffer = new byte[64];
    long end = System.nanoTime() + SOON.toNanos();
    while (heard.size() < length && System.nanoTime() < end) {
      heard.write(buffer, 0, link.read(buffer, Duration.ofMillis(200)));
    }
    return heard.toByteArray();
  }
}
