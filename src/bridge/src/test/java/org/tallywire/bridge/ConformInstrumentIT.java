package org.tallywire.bridge;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.api.parallel.Execution;
import org.junit.jupiter.api.parallel.ExecutionMode;
import org.junit.jupiter.api.parallel.ResourceAccessMode;
import org.junit.jupiter.api.parallel.ResourceLock;
import org.tallywire.api.LinkAddress;
import org.tallywire.publish.Mosquitto;

/** {@code conform instrument}: the packaged jar against the simulator, and against what is none. */
@Execution(ExecutionMode.CONCURRENT)
@ResourceLock(
    value = "processor",
    mode = ResourceAccessMode.READ) // times are checked here, or much is computed
class ConformInstrumentIT {

  private static final long LIMIT_S = 60;

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
  @Execution(ExecutionMode.CONCURRENT)
  @DisplayName("The simulator at a pseudo-terminal conforms, its full store included")
  void pseudoTerminal() throws Exception {
    try (SimulatorProcess simulator = simulator("--pty", "--store=8")) {
      LinkAddress.Serial port = (LinkAddress.Serial) simulator.awaitReady().address();
      int exit = conform(port.port(), "--transcript", "said");
      assertEquals(0, exit, jar.output());
      assertTrue(jar.output().contains("kept      L-26"), jar.output());
      assertTrue(
          Files.readString(folder.resolve("said")).contains("other  <hello req="), jar.output());
    }
  }

  @Test
  @Execution(ExecutionMode.CONCURRENT)
  @DisplayName("The simulator over TCP conforms: no rule broken, all but five tested")
  void tcp() throws Exception {
    try (SimulatorProcess simulator = simulator("--tcp=0")) {
      int exit = conform(simulator.awaitReady().address().toString());
      assertEquals(0, exit, jar.output());
      assertTrue(
          jar.output().matches("(?s).*29 rules kept, 0 broken, [56] untested\\..*"), jar.output());
    }
  }

  @Test
  @Execution(ExecutionMode.CONCURRENT)
  @DisplayName("A server that echoes is no instrument: exit 1, and the sentence says echo")
  void echo() throws Exception {
    try (ServerSocket server = new ServerSocket(0, 5, InetAddress.getLoopbackAddress())) {
      Thread echo = new Thread(() -> echo(server), "echo");
      echo.setDaemon(true);
      echo.start();
      int exit = conform("tcp://127.0.0.1:" + server.getLocalPort());
      assertEquals(ConformCommand.BROKEN, exit, jar.output());
      assertTrue(jar.output().contains("is our line echoed?"), jar.output());
      assertTrue(jar.output().contains("it does not conform"), jar.output());
    }
  }

  @Test
  @Execution(ExecutionMode.CONCURRENT)
  @DisplayName("A closed port and a wrong address give exit 2 and a sentence")
  void closed() throws Exception {
    assertEquals(Tallywire.SETUP, conform("tcp://127.0.0.1:" + Mosquitto.freePort()));
    assertTrue(jar.output().contains("Connection refused"), jar.output());
    assertEquals(Tallywire.SETUP, conform("tcp://127.0.0.1"));
    assertTrue(jar.output().contains("is not of the form tcp://HOST:PORT"), jar.output());
    assertFalse(jar.output().contains("\tat "), jar.output());
  }

  @Test
  @Execution(ExecutionMode.CONCURRENT)
  @DisplayName("Without readings the exit is 3; --list lists; what cannot be opened gives exit 2")
  void arguments() throws Exception {
    try (SimulatorProcess simulator =
        SimulatorProcess.start(
            folder.resolve("simulator"),
            List.of("--until-stdin-ends", "--pace=0.001", "--beat=200", "--tcp=0"))) {
      String address = simulator.awaitReady().address().toString();
      Process process = jar.start("conform", "instrument", address, "--wait", "1");
      assertTrue(process.waitFor(LIMIT_S, TimeUnit.SECONDS), () -> "it did not end");
      assertEquals(ConformCommand.TOO_LITTLE, process.exitValue(), jar.output());
      assertTrue(jar.output().contains("too little was tested"), jar.output());
    }
    assertEquals(Tallywire.OK, conform("COM5", "--list", "--only", "L-23c"));
    assertTrue(jar.output().contains("grants more (L-23c)"), jar.output());
    assertEquals(Tallywire.SETUP, conform("COM5"));
    assertFalse(jar.output().contains("\tat "), jar.output());
    assertEquals(Tallywire.SETUP, conform("tcp://127.0.0.1:9", "--transcript", "none/said"));
    assertTrue(jar.output().contains("cannot be written"), jar.output());
  }

  private int conform(String address, String... more) throws Exception {
    List<String> arguments = new ArrayList<>(List.of("conform", "instrument", address));
    arguments.addAll(List.of(more));
    arguments.addAll(List.of("--wait", "15"));
    Process process = jar.start(arguments.toArray(new String[0]));
    assertTrue(process.waitFor(LIMIT_S, TimeUnit.SECONDS), () -> "it did not end");
    return process.exitValue();
  }

  private SimulatorProcess simulator(String... arguments) throws IOException {
    List<String> all = new ArrayList<>(List.of("--until-stdin-ends", "--pace=20", "--beat=200"));
    all.addAll(List.of(arguments));
    return SimulatorProcess.start(folder.resolve("simulator"), all);
  }

  private static void echo(ServerSocket server) {
    try (Socket client = server.accept()) {
      client.getInputStream().transferTo(client.getOutputStream());
    } catch (IOException e) {
      // the test is over
    }
  }
}
