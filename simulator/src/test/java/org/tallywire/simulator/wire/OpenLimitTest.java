package org.tallywire.simulator.wire;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.concurrent.TimeUnit;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.condition.EnabledOnOs;
import org.junit.jupiter.api.condition.OS;

/** A process that really runs out of files. */
@EnabledOnOs(OS.LINUX)
class OpenLimitTest {

  private static final int LIMIT = 64;
  private static final int WIRES = 50;

  /** Opens wires of one kind until it fails, and prints how many there were and why. */
  static final class Greedy {

    private Greedy() {}

    public static void main(String[] kind) {
      // Test classes come from a folder, and each takes a file to load: those of a failure now.
      OpenLimit.advice(OpenLimit.EMFILE, 1);
      List<Wire> wires = new ArrayList<>();
      try {
        while (wires.size() < 1000) {
          wires.add(opened(kind[0]));
        }
      } catch (IOException failed) {
        System.out.println(wires.size() + " wires: " + failed.getMessage());
      }
    }

    private static Wire opened(String kind) throws IOException {
      Wire wire = kind.equals("pty") ? new PtyWire(Optional.empty()) : new TcpWire(0);
      wire.plugIn();
      return wire;
    }
  }

  private static String outcome(String kind) throws Exception {
    String classes =
        System.getProperty("surefire.test.class.path", System.getProperty("java.class.path"));
    Process process =
        new ProcessBuilder(
                "sh",
                "-c",
                "ulimit -n %d && exec \"$0\" -cp \"$1\" \"$2\" %s".formatted(LIMIT, kind),
                Path.of(System.getProperty("java.home"), "bin", "java").toString(),
                classes,
                Greedy.class.getName())
            .redirectErrorStream(true)
            .start();
    String said = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
    assertTrue(process.waitFor(30, TimeUnit.SECONDS));
    assertEquals(0, process.exitValue(), said);
    return said;
  }

  @Test
  void aProcessOutOfFilesSaysWhichLimitAndWhatToDo() throws Exception {
    String pty = outcome("pty");
    assertTrue(pty.contains("may have only %d files open".formatted(LIMIT)), pty);
    assertTrue(pty.contains("each instrument takes 2: raise it (\"ulimit -Hn\""), pty);
    String tcp = outcome("tcp");
    assertTrue(tcp.contains("may have only %d files open".formatted(LIMIT)), tcp);
    assertTrue(tcp.contains("each instrument takes 4: raise it (\"ulimit -Hn\""), tcp);
  }

  @Test
  void eachWireKeepsAsManyFilesOpenAsTheAdviceSaysAndGivesThemBack() throws IOException {
    // A wire of each kind first, so that what the libraries keep open does not count.
    filesOf(1, "pty");
    filesOf(1, "tcp");
    assertEquals(2.0, filesOf(WIRES, "pty") / (double) WIRES, 0.5);
    assertEquals(4.0, filesOf(WIRES, "tcp") / (double) WIRES - 1, 0.5, "without the far end");
  }

  private interface Closing {
    void close() throws IOException;
  }

  /** Opens so many wires with clients; returns how many files that took. */
  private static long filesOf(int wires, String kind) throws IOException {
    byte[] into = new byte[10];
    long before = openFiles();
    List<Closing> open = new ArrayList<>();
    for (int i = 0; i < wires; i++) {
      Wire wire = Greedy.opened(kind);
      open.add(wire::close);
      if (kind.equals("tcp")) {
        open.add(FarEnd.socket(wire.address())::close);
        wire.read(into, 1000);
        assertTrue(wire.attached());
      }
    }
    long taken = openFiles() - before;
    for (Closing one : open) {
      one.close();
    }
    assertTrue(Math.abs(openFiles() - before) <= WIRES / 2, "all are given back");
    return taken;
  }

  private static long openFiles() throws IOException {
    try (Stream<Path> files = Files.list(Path.of("/proc/self/fd"))) {
      return files.count();
    }
  }

  @Test
  void everyLimitHasItsAdviceAndOtherFailuresHaveNone() {
    assertEquals("", OpenLimit.advice(5, 2));
    assertEquals("", OpenLimit.advice(new IOException("Address already in use"), 4));
    // Linux's default is 4096 (kernel documentation, sysctl/kernel.rst, from memory).
    String terminals = OpenLimit.advice(OpenLimit.ENOSPC, 2);
    assertTrue(terminals.matches(".*than [0-9]{3,}: raise kernel\\.pty\\.max.*"), terminals);
    assertTrue(OpenLimit.advice(OpenLimit.ENFILE, 2).contains("fs.file-max"));
  }
}
