package org.tallywire.simulator.wire;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.condition.EnabledOnOs;
import org.junit.jupiter.api.condition.OS;

/** The command at a serial port, told to end while it listens. */
@EnabledOnOs(OS.LINUX)
@Timeout(240)
class SerialEndTest {

  @Test
  void theEndOfTheProcessIsNoLossOfItsPort() throws Exception {
    try (PseudoTerminal other = PseudoTerminal.open()) {
      Process process =
          new ProcessBuilder(
                  Path.of(System.getProperty("java.home"), "bin", "java").toString(),
                  "-XX:TieredStopAtLevel=1",
                  "-cp",
                  System.getProperty("java.class.path"),
                  "org.tallywire.simulator.Simulator",
                  "--serial=" + other.path())
              .start();
      try {
        String ready = process.inputReader(StandardCharsets.UTF_8).readLine();
        assertEquals("ready SIM-0001 serial " + other.path(), ready);
        // Its first line: it lives, and waits for bytes at its port.
        byte[] into = new byte[4096];
        assertTrue(other.read(into, 10_000) > 0, "says nothing");
        process.toHandle().destroy(); // leaves its streams open
        String said = new String(process.getErrorStream().readAllBytes(), StandardCharsets.UTF_8);
        assertTrue(process.waitFor(60, TimeUnit.SECONDS), "still running");
        assertEquals("", said);
      } finally {
        process.destroyForcibly();
      }
    }
  }
}
