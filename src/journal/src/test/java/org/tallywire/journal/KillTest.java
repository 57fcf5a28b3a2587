package org.tallywire.journal;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.BufferedReader;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.Random;
import java.util.concurrent.TimeUnit;
import java.util.stream.Stream;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.api.TimeSource;

/** Promise 1 of the project: nothing acknowledged is lost, whatever ends the process. */
@Timeout(60)
class KillTest {

  private static final int CYCLES = 5;

  @TempDir Path folder;

  @Test
  void whatWasAcknowledgedBeforeAKillIsThere() throws Exception {
    long seed = System.nanoTime();
    System.out.println("KillTest seed " + seed);
    Random random = new Random(seed);
    List<String> acknowledged = new ArrayList<>();
    for (int cycle = 1; cycle <= CYCLES; cycle++) {
      List<String> ids = appendUntilKilled("run" + cycle, 1 + random.nextInt(80));
      acknowledged.addAll(ids);
      requireOneNativeLibrary();
      try (Journal journal = Journal.open(folder, TimeSource.system())) {
        for (String id : acknowledged) {
          assertTrue(journal.find(id).isPresent(), id + " of " + acknowledged);
        }
        assertEquals(Optional.empty(), journal.verify());
        // the mark was in the same transaction, so it is exactly as far as the entries are
        String prefix = "run" + cycle + "-";
        long entries =
            journal.read(0, 100_000).stream().filter(e -> e.id().startsWith(prefix)).count();
        assertEquals(entries, journal.lastSequence("other", "run" + cycle).orElseThrow());
        assertTrue(entries >= ids.size());
      }
    }
  }

  /** An unpacked copy of the native library is about 1 MB: kills must not pile them up. */
  private void requireOneNativeLibrary() throws Exception {
    try (Stream<Path> files = Files.list(folder.resolve("native"))) {
      List<String> libraries =
          files
              .map(file -> file.getFileName().toString())
              .filter(name -> !name.endsWith(".lck"))
              .toList();
      assertEquals(1, libraries.size(), libraries.toString());
    }
  }

  private List<String> appendUntilKilled(String name, int after) throws Exception {
    Process process = OtherProcess.start(folder, name);
    List<String> ids = new ArrayList<>();
    try (BufferedReader output = OtherProcess.output(process)) {
      while (ids.size() < after) {
        String line = output.readLine();
        assertTrue(line != null && line.startsWith(name), "the process said " + line);
        ids.add(line);
      }
      // the handle, because Process itself would close the output we still read
      assertTrue(process.toHandle().destroyForcibly());
      assertTrue(process.waitFor(10, TimeUnit.SECONDS));
      // what it had printed and we had not read yet was acknowledged as well; a half line was not
      ids.addAll(wholeLines(output));
    }
    return ids;
  }

  private static List<String> wholeLines(BufferedReader output) throws Exception {
    StringBuilder rest = new StringBuilder();
    for (int c = output.read(); c >= 0; c = output.read()) {
      rest.append((char) c);
    }
    int end = rest.lastIndexOf("\n");
    return end < 0 ? List.of() : rest.substring(0, end).lines().toList();
  }
}
