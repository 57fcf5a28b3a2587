package org.tallywire.bridge;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.concurrent.CopyOnWriteArrayList;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.api.parallel.Execution;
import org.junit.jupiter.api.parallel.ExecutionMode;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.Reading;
import org.tallywire.api.TimeSource;
import org.tallywire.api.Value;
import org.tallywire.format.RecordFormat;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.link.Links;
import org.tallywire.publish.Programs;

/** The driver in Python (shared/program): against the kit, and as a station's link. */
@Execution(ExecutionMode.CONCURRENT)
class ProgramIT {

  private static final Path PROGRAM = Path.of("../../shared/program").toAbsolutePath().normalize();
  private static final Duration LIMIT = Duration.ofSeconds(40);
  private static final int READINGS = 6;

  @TempDir private Path folder;

  @BeforeEach
  void python() {
    Programs.require("python3");
  }

  @Test
  @Execution(ExecutionMode.CONCURRENT)
  @DisplayName("conform instrument --program: no rule of the line protocol is broken")
  void conforms() throws Exception {
    try (Jar jar = new Jar(folder)) {
      Process conform =
          jar.start(
              "conform",
              "instrument",
              "--wait",
              "15",
              "--program",
              "python3 -B '%s' --every 0.05 --beat 250 --store 20"
                  .formatted(PROGRAM.resolve("meter.py")));
      assertTrue(conform.waitFor(90, TimeUnit.SECONDS), "it did not end");
      assertEquals(0, conform.exitValue(), jar.output());
      assertTrue(jar.output().contains("kept      L-26"), jar.output());
    }
  }

  @Test
  @Execution(ExecutionMode.CONCURRENT)
  @DisplayName("As a station: its readings are recorded; killed, it is started again, told why")
  void station() throws Exception {
    Path printout = folder.resolve("printout.txt");
    Files.copy(PROGRAM.resolve("printout.txt"), printout);
    List<String> states = new CopyOnWriteArrayList<>();
    StateBoard board = new StateBoard(TimeSource.system());
    board.tell((name, record) -> states.add(new String(record, StandardCharsets.UTF_8)));
    try (Journal journal = Journal.open(folder.resolve("data"), TimeSource.system());
        Links links = new Links(folder.resolve("native"));
        Station station = station(printout, links, journal, board)) {
      station.start();
      await().atMost(LIMIT).until(() -> readings(journal).size() == READINGS);
      assertEquals(
          List.of("12.345 12.341 12.401 over-range open 1234.5"),
          List.of(String.join(" ", readings(journal).stream().map(ProgramIT::first).toList())));
      Reading one = readings(journal).get(0);
      assertEquals(Reading.Status.NOT_SETTLED, one.status());
      assertEquals(
          Map.of("test", "winding-resistance", "windings", "LV", "phase", "A"), one.labels());
      process(printout).destroyForcibly();
      await().atMost(LIMIT).until(() -> readings(journal).size() == 2 * READINGS);
      assertTrue(
          states.stream().anyMatch(state -> state.contains("the program ended with exit code 137")),
          states.toString());
    }
    await().atMost(LIMIT).until(() -> processes(printout).isEmpty());
  }

  private static Station station(Path printout, Links links, Journal journal, StateBoard board) {
    List<String> command = new ArrayList<>(List.of("python3", "-B", "meter.py"));
    command.addAll(List.of("--from", printout.toString(), "--every", "0.02", "--beat", "200"));
    return new Station(
        new BridgeConfig.Station(
            "bay-1",
            Drivers.shipped().named("line").orElseThrow(),
            new LinkAddress.Program(command, PROGRAM)),
        links::open,
        new Recorder(journal, TimeSource.system()),
        board,
        TimeSource.system());
  }

  private static ProcessHandle process(Path printout) {
    return processes(printout).get(0);
  }

  private static List<ProcessHandle> processes(Path printout) {
    return ProcessHandle.current()
        .descendants()
        .filter(
            process ->
                process.info().arguments().stream()
                    .flatMap(Arrays::stream)
                    .anyMatch(printout.toString()::equals))
        .toList();
  }

  private static List<Reading> readings(Journal journal) throws Exception {
    List<Reading> readings = new ArrayList<>();
    for (JournalEntry entry : journal.read(0, 1_000)) {
      if (entry.kind().equals(RecordFormat.READING)) {
        readings.add(RecordFormat.reading(entry.payload()).reading());
      }
    }
    return readings;
  }

  private static String first(Reading reading) {
    Value value = reading.values().get(0);
    return value instanceof Value.Measured measured
        ? measured.number().toPlainString()
        : ((Value.Missing) value).reason().word();
  }
}
