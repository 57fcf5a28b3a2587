package org.tallywire.fault;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;

/**
 * The n-th file operation of the journal fails, once and for ever after, for every n, and in a
 * journal that recovers from a power cut for some n by lot; small: for a few by lot, and every sync
 * (sqlite.org, How SQLite Is Tested, 3.2 I/O Error Testing and 3.4 Compound Failures).
 */
class NthOperationIT {

  private static final long LONGEST_MINUTES = 120;

  @Test
  @DisplayName("Whatever file operation fails: an exception or no effect, and nothing is lost")
  void nothingIsTakenForDone() throws Exception {
    Fault fault = Fault.of("file operation fails", 2, 0);
    Path folder = Workplace.make("nth");
    try {
      Watch watch = Watch.require(folder);
      Path result = folder.resolve("result");
      String rounds = Fault.isLarge() ? "2" : "1";
      String images = Fault.isLarge() ? "24" : "1";
      String each = Fault.isLarge() ? "40" : "2";
      Process process =
          watch.start(
              Watched.class,
              result.toString(),
              Long.toString(fault.seed()),
              "fail",
              rounds,
              Integer.toString(fault.cycles()),
              images,
              each);
      try {
        assertTrue(
            process.waitFor(LONGEST_MINUTES, TimeUnit.MINUTES), "it does not come to an end");
        assertEquals(0, process.exitValue(), Files.readString(watch.output()));
      } finally {
        process.destroyForcibly();
      }
      report(fault, Files.readAllLines(result));
    } finally {
      Watched.delete(folder);
    }
  }

  private static void report(Fault fault, List<String> result) {
    long cases = 0;
    long refused = 0;
    for (String line : result) {
      System.out.println(line);
      String[] words = line.split("\t", -1);
      if (words[0].equals("sum")) {
        assertTrue(Long.parseLong(words[4]) > 0, "no operation failed: " + line);
        cases += Long.parseLong(words[4]);
        refused += Long.parseLong(words[5]);
      }
    }
    List<String> lies = result.stream().filter(line -> line.startsWith("lie")).toList();
    String note = "%d of them told, the others without effect".formatted(refused);
    Report.add(new Report.Row(fault, cases, cases, lies.size(), 0, 0, Duration.ZERO, note));
    assertEquals(List.of(), lies, fault.toString());
  }
}
