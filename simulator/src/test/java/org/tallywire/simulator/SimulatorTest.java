package org.tallywire.simulator;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.BufferedReader;
import java.io.IOException;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Set;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.condition.EnabledOnOs;
import org.junit.jupiter.api.condition.OS;
import org.tallywire.simulator.face.Line;

/** The command in a process of its own. */
@Timeout(240)
class SimulatorTest {

  private static Process run(String... arguments) throws IOException {
    return run(List.of(), arguments);
  }

  private static Process run(List<String> jvm, String... arguments) throws IOException {
    List<String> command = new ArrayList<>();
    command.add(Path.of(System.getProperty("java.home"), "bin", "java").toString());
    command.addAll(jvm);
    command.addAll(List.of("-XX:TieredStopAtLevel=1", "-cp"));
    command.add(System.getProperty("java.class.path"));
    command.add(Simulator.class.getName());
    command.addAll(List.of(arguments));
    return new ProcessBuilder(command).redirectError(ProcessBuilder.Redirect.PIPE).start();
  }

  private static List<String> lines(Process process, int count) throws IOException {
    BufferedReader out = process.inputReader(StandardCharsets.UTF_8);
    List<String> lines = new ArrayList<>();
    for (int i = 0; i < count; i++) {
      lines.add(out.readLine());
    }
    return lines;
  }

  private static void assertEnds(int code, Process process) throws InterruptedException {
    assertTrue(process.waitFor(60, TimeUnit.SECONDS), "still running");
    assertEquals(code, process.exitValue());
  }

  @Test
  void manyInstrumentsOfOwnPortSerialAndBootAndTheEndOfStdinEndsThem() throws Exception {
    Process process =
        run(
            "--tcp",
            "0",
            "--instruments",
            "100",
            "--seed",
            "7",
            "--boot",
            "b",
            "--until-stdin-ends");
    try {
      Set<String> boots = new HashSet<>();
      Set<Integer> ports = new HashSet<>();
      int number = 7;
      for (String line : lines(process, 100)) {
        assertEquals("ready SIM-%04d tcp".formatted(number++), line.substring(0, 18));

        int port = Integer.parseInt(line.substring(line.indexOf(':') + 1));
        ports.add(port);
        try (Socket socket = new Socket(InetAddress.getLoopbackAddress(), port);
            TestBridge bridge = new TestBridge(socket.getInputStream(), socket.getOutputStream())) {
          boots.add(bridge.open(1, 0, 1));
        }
      }
      assertEquals(100, ports.size());
      assertEquals(100, boots.size());
      assertTrue(boots.contains("b-1") && boots.contains("b-100"), boots.toString());
      process.outputWriter().close();
      assertEnds(0, process);
    } finally {
      process.destroyForcibly();
    }
  }

  @Test
  @EnabledOnOs(OS.LINUX)
  void aThousandInstrumentsAtWorkFitIntoAGigabyte() throws Exception {
    Process process =
        run(
            List.of("-Xmx256m"),
            "--tcp=0",
            "--instruments=1000",
            "--seed=1000",
            "--start-now",
            "--until-stdin-ends");
    try {
      String last = lines(process, 1000).get(999);
      assertEquals("ready SIM-1999 tcp", last.substring(0, 18));
      int port = Integer.parseInt(last.substring(last.indexOf(':') + 1));
      try (Socket socket = new Socket(InetAddress.getLoopbackAddress(), port);
          TestBridge bridge = new TestBridge(socket.getInputStream(), socket.getOutputStream())) {
        bridge.take(bridge.open(1, 0, 8), 1, 3);
      }
      assertTrue(residentKilobytes(process) < 1_000_000, residentKilobytes(process) + " kB");
      process.outputWriter().close();
      assertEnds(0, process);
    } finally {
      process.destroyForcibly();
    }
  }

  /** Returns VmRSS (proc_pid_status, Linux). */
  private static long residentKilobytes(Process process) throws IOException {
    return Files.readAllLines(Path.of("/proc/%d/status".formatted(process.pid()))).stream()
        .filter(line -> line.startsWith("VmRSS:"))
        .mapToLong(line -> Long.parseLong(line.replaceAll("[^0-9]", "")))
        .findFirst()
        .orElseThrow();
  }

  @Test
  void eachStartHasAnotherBootId() throws Exception { // L-14
    assertNotEquals(bootOf("--tcp", "0"), bootOf("--tcp", "0"));
  }

  private static String bootOf(String... arguments) throws Exception {
    Process process = run(arguments);
    try {
      String line = lines(process, 1).get(0);
      int port = Integer.parseInt(line.substring(line.indexOf(':') + 1));
      try (Socket socket = new Socket(InetAddress.getLoopbackAddress(), port);
          TestBridge bridge = new TestBridge(socket.getInputStream(), socket.getOutputStream())) {
        return bridge.await("start").fields().get("boot");
      }
    } finally {
      process.destroy();
      assertTrue(process.waitFor(60, TimeUnit.SECONDS));
    }
  }

  @Test
  @DisplayName(
      "L-26, L-20b: a small store that nobody empties gives !lost; --clock sets the quality")
  void aSmallStoreAndAnotherClock() throws Exception {
    Process process =
        run(
            "--tcp",
            "0",
            "--start-now",
            "--pace",
            "1000",
            "--store",
            "3",
            "--beat",
            "100",
            "--clock",
            "relative",
            "--until-stdin-ends");
    try {
      String line = lines(process, 1).get(0);
      int port = Integer.parseInt(line.substring(line.indexOf(':') + 1));
      try (Socket socket = new Socket(InetAddress.getLoopbackAddress(), port);
          TestBridge bridge = new TestBridge(socket.getInputStream(), socket.getOutputStream())) {
        assertLost(bridge);
      }
      process.outputWriter().close();
      assertEnds(0, process);
    } finally {
      process.destroyForcibly();
    }
  }

  private static void assertLost(TestBridge bridge) throws Exception {
    bridge.say(new Line('>', "hello").with("req", 1).with("version", "1.1"));
    String boot = bridge.await("hello").fields().get("boot");
    Line beat = bridge.await("beat");
    while (!"21".equals(beat.fields().get("last"))) {
      bridge.say(new Line('>', "beat"));
      beat = bridge.await("beat");
    }
    assertEquals("3", beat.fields().get("held"));
    bridge.say(
        new Line('>', "send")
            .with("req", 2)
            .with("boot", boot)
            .with("after", 0)
            .with("credit", 64));
    Line ok = bridge.await("ok");
    assertEquals("1 21", ok.fields().get("first") + " " + ok.fields().get("last"));
    Line lost = bridge.await("lost");
    assertEquals("1 18", lost.fields().get("from") + " " + lost.fields().get("to"));
    Line reading = bridge.await("reading");
    assertEquals("19", reading.fields().get("seq"));
    assertEquals("relative", reading.fields().get("clock"));
    bridge.say(new Line('>', "clock").with("req", 3));
    long uptime = Long.parseLong(bridge.await("clock").fields().get("uptime"));
    assertTrue(uptime >= Long.parseLong(reading.fields().get("uptime")), "uptime " + uptime);
  }

  @Test
  void aClockThatIsNoneEndsWithTwo() throws Exception {
    Process process = run("--clock", "perfect");
    assertEnds(2, process);
    String said = new String(process.getErrorStream().readAllBytes(), StandardCharsets.UTF_8);
    assertTrue(said.contains("none, relative, free, synchronised"), said);
  }

  @Test
  void nonsenseEndsWithTwoAndNamesEveryMistake() throws Exception {
    Process process = run("--pace", "0", "--boot", "not valid", "--beat", "99", "--store", "0");
    assertEnds(2, process);
    String said = new String(process.getErrorStream().readAllBytes(), StandardCharsets.UTF_8);
    assertTrue(said.contains("--pace") && said.contains("--boot"), said);
    assertTrue(said.contains("--beat") && said.contains("--store"), said);
  }

  @Test
  void noWireEndsWithFourAndOneSentence() throws Exception {
    try (ServerSocket taken = new ServerSocket(0, 1, InetAddress.getLoopbackAddress())) {
      Process process = run("--tcp", Integer.toString(taken.getLocalPort()));
      assertEnds(4, process);
      String said = new String(process.getErrorStream().readAllBytes(), StandardCharsets.UTF_8);
      assertTrue(said.contains("no TCP server can listen on 127.0.0.1"), said);
    }
  }
}
