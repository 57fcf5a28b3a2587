package org.tallywire.simulator;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.BufferedReader;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Assumptions;
import org.junit.jupiter.api.BeforeAll;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.condition.EnabledOnOs;
import org.junit.jupiter.api.condition.OS;

/** The command in a process that may have few files open. */
@EnabledOnOs({OS.LINUX, OS.MAC})
@Timeout(240)
class OpenFilesTest {

  private static final Path BASH = Path.of("/bin/bash");
  private static final int LIMIT = 500;

  @BeforeAll
  static void bash() {
    Assumptions.assumeTrue(Files.isExecutable(BASH), "needs bash");
  }

  private static Process run(int limit, String... arguments) throws Exception {
    List<String> command = new ArrayList<>(List.of(BASH.toString(), "-c"));
    command.add("ulimit -n %d && exec \"$0\" \"$@\"".formatted(limit));
    command.add(Path.of(System.getProperty("java.home"), "bin", "java").toString());
    command.addAll(List.of("-XX:TieredStopAtLevel=1", "-cp"));
    command.add(System.getProperty("java.class.path"));
    command.add(Simulator.class.getName());
    command.addAll(List.of(arguments));
    return new ProcessBuilder(command).start();
  }

  private static void assertRefused(String words, String... arguments) throws Exception {
    Process process = run(LIMIT, arguments);
    String out = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
    String said = new String(process.getErrorStream().readAllBytes(), StandardCharsets.UTF_8);
    assertTrue(process.waitFor(60, TimeUnit.SECONDS), "still running");
    assertEquals("", out);
    assertEquals(1, said.lines().count(), said);
    assertTrue(said.contains(words), said);
    assertFalse(said.contains("--tcp"), said);
    assertEquals(4, process.exitValue());
  }

  @Test
  void moreInstrumentsThanTheLimitOfOpenFilesAllowsAreRefusedAtOnce() throws Exception {
    assertRefused(
        "1000 instruments at 2 files each and 50 for the program need 2050 open files, and this"
            + " process may have only 500 (its hard limit); raise it (\"ulimit -n 2050\"",
        "--instruments=1000");
    assertRefused("start 112 instruments at most", "--tcp=0", "--instruments=113");
  }

  @Test
  void asManyAsItAllowsRun() throws Exception {
    assertRun(225, "--instruments=225", "--until-stdin-ends");
    assertRun(112, "--tcp=0", "--instruments=112", "--until-stdin-ends");
  }

  private static void assertRun(int instruments, String... arguments) throws Exception {
    Process process = run(LIMIT, arguments);
    try {
      BufferedReader out = process.inputReader(StandardCharsets.UTF_8);
      for (int i = 0; i < instruments; i++) {
        String line = out.readLine();
        assertTrue(
            line != null && line.startsWith("ready "),
            () -> line + ": " + String.join("\n", process.errorReader().lines().toList()));
      }
      process.outputWriter().close();
      assertTrue(process.waitFor(60, TimeUnit.SECONDS), "still running");
      assertEquals(0, process.exitValue());
    } finally {
      process.destroyForcibly();
    }
  }
}
