package org.tallywire.simulator;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.TreeSet;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.tallywire.simulator.scenario.ScenarioException;

/** What {@code --taken} writes is what was taken: all of it, in order, as it is sent. */
class TakenFileTest {

  @TempDir private Path folder;

  @Test
  void everyLineSentIsTheOneTaken() throws Exception {
    List<String> taken = taken("--pace=1");
    assertEquals(21, taken.size());
    for (int i = 0; i < taken.size(); i++) {
      assertTrue(
          taken.get(i).matches("SIM-0001 b1 %d !reading boot=b1 seq=%<d .*".formatted(i + 1)));
    }
    assertEquals(new TreeSet<>(taken), new TreeSet<>(sent));
  }

  /** Rules L-24 and L-26: of twenty-one readings a store of two that nobody hears keeps two. */
  @Test
  void whatIsLostIsInItToo() throws Exception {
    assertEquals(21, taken("--pace=1000", "--store=2", "--plant=freeze for 1 h").size());
  }

  @Test
  void aPlaceThatCannotBeWrittenIsRefused() throws Exception {
    Path none = folder.resolve("no-folder").resolve("taken");
    assertThrows(IOException.class, () -> TestFleet.start("--tcp=0", "--taken=" + none));
  }

  @Test
  void aLanguageWithoutNumbersIsRefused() {
    assertThrows(
        ScenarioException.class,
        () -> TestFleet.start("--tcp=0", "--speaks=scpi", "--taken=" + folder.resolve("t")));
  }

  private List<String> sent = List.of();

  private List<String> taken(String... arguments) throws Exception {
    Path file = folder.resolve("taken");
    String[] all = new String[arguments.length + 3];
    System.arraycopy(arguments, 0, all, 3, arguments.length);
    all[0] = "--to=-";
    all[1] = "--boot=b1";
    all[2] = "--taken=" + file;
    ByteArrayOutputStream out = new ByteArrayOutputStream();
    VirtualRun.write(TestFleet.options(all), out, words -> {});
    sent =
        out.toString(StandardCharsets.US_ASCII)
            .lines()
            .filter(line -> line.startsWith("!reading"))
            .map(line -> line.substring(0, line.indexOf('*')).replace(" resent=1", ""))
            .map(line -> line.replaceFirst("!reading boot=(\\S+) seq=(\\d+)", "SIM-0001 $1 $2 $0"))
            .toList();
    return Files.readAllLines(file);
  }
}
