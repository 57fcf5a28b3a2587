package org.tallywire.journal;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.junit.jupiter.api.Assumptions.assumeTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;

/**
 * The rules of StorageListener and JournalException.full on a real file system of 24 MiB: filled
 * and emptied several times, nothing is lost or doubled. The file system is mounted in a name space
 * of its own, which ends with the process that uses it.
 */
@Timeout(120)
class FullDiskTest {

  private static final List<String> AS_NOBODY = List.of("unshare", "-U", "-r", "-m");
  private static final List<String> AS_ROOT = List.of("unshare", "-m");
  private static final String MOUNT = "mount -t tmpfs -o size=24m tallywire \"$0\" && exec \"$@\"";

  @TempDir Path disk;

  @Test
  void entriesAreRefusedWhileItIsFullAndNothingIsLost() throws Exception {
    List<String> space = AS_NOBODY;
    if (run(space, "true").value() != 0) {
      space = AS_ROOT;
      assumeTrue(run(space, "true").value() == 0, "no small file system can be mounted here");
    }
    long seed = Long.getLong("tallywire.seed", System.nanoTime());
    System.out.println("FullDiskTest seed " + seed);
    Exit exit =
        run(
            space,
            Path.of(System.getProperty("java.home"), "bin", "java").toString(),
            "-XX:TieredStopAtLevel=1",
            "-Dtallywire.rounds=" + Integer.getInteger("tallywire.rounds", 1),
            "-cp",
            System.getProperty("java.class.path"),
            FullDisk.class.getName(),
            disk.toString(),
            Long.toString(seed));
    assertEquals(0, exit.value(), exit.output());
    assertTrue(exit.output().contains("entries kept"), exit.output());
    exit.output()
        .lines()
        .filter(line -> line.contains("entries kept"))
        .forEach(System.out::println);
    assertTrue(exit.output().contains("FULL, SOUND"), exit.output());
  }

  private record Exit(int value, String output) {}

  private Exit run(List<String> space, String... program) throws Exception {
    List<String> command = new ArrayList<>(space);
    command.addAll(List.of("sh", "-c", MOUNT, disk.toString()));
    command.addAll(List.of(program));
    try {
      Process process = new ProcessBuilder(command).redirectErrorStream(true).start();
      try {
        String output = new String(process.getInputStream().readAllBytes(), StandardCharsets.UTF_8);
        assertTrue(process.waitFor(90, TimeUnit.SECONDS), output);
        return new Exit(process.exitValue(), output);
      } finally {
        process.destroyForcibly();
      }
    } catch (IOException e) {
      return new Exit(-1, String.valueOf(e.getMessage()));
    }
  }
}
