package org.tallywire.bridge;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertEquals;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.TreeSet;
import java.util.concurrent.CopyOnWriteArrayList;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.api.parallel.Execution;
import org.junit.jupiter.api.parallel.ExecutionMode;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.Reading;
import org.tallywire.api.TimeSource;
import org.tallywire.format.RecordFormat;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.link.Links;

/** A station with real ports, sockets, driver and journal, before simulators as processes. */
@Execution(ExecutionMode.CONCURRENT)
class ReplugIT {

  private static final Duration LIMIT = Duration.ofSeconds(40);

  /** What the simulator measures in one round. */
  private static final int READINGS = 21;

  @TempDir private Path folder;

  private final List<String> states = new CopyOnWriteArrayList<>();
  private final List<AutoCloseable> toClose = new ArrayList<>();
  private Journal journal;

  @BeforeEach
  void open() throws Exception {
    journal = Journal.open(folder.resolve("data"), TimeSource.system());
  }

  @AfterEach
  void close() throws Exception {
    for (int i = toClose.size() - 1; i >= 0; i--) {
      toClose.get(i).close();
    }
    journal.close();
  }

  @Test
  @DisplayName("Its place taken by another instrument and back: told, and nothing lost on either")
  void swapped() throws Exception {
    SimulatorProcess simulator = simulator("two", "--pty", "--instruments=2", "--pace=100");
    String firstPort = port(simulator);
    String secondPort = port(simulator);
    Path adapter = folder.resolve("adapter");
    point(adapter, firstPort);
    station(LinkAddress.Serial.at(adapter.toString(), 115_200));
    await().atMost(LIMIT).until(() -> total() >= 4);

    point(adapter, secondPort);
    await().atMost(LIMIT).until(() -> numbers().size() == 2);
    awaitState("another instrument than before: serial ");
    String newcomer = numbers().keySet().stream().reduce((a, b) -> b).orElseThrow();
    await().atMost(LIMIT).until(() -> numbers().get(newcomer).size() == READINGS);

    point(adapter, firstPort);
    await().atMost(LIMIT).until(() -> total() == 2 * READINGS);
    numbers().forEach(ReplugIT::assertWhole);
    assertEquals(0, entries(RecordFormat.GAP).size());
  }

  @Test
  @DisplayName(
      "A TCP connection that is half open is given up, and the next one goes on from there")
  void halfOpen() throws Exception {
    SimulatorProcess simulator = simulator("one", "--tcp=0", "--beat=200", "--pace=100");
    LinkAddress.Tcp behind = (LinkAddress.Tcp) simulator.awaitReady().address();
    FreezingRelay relay = FreezingRelay.start(behind.port());
    toClose.add(relay);
    station(new LinkAddress.Tcp("127.0.0.1", relay.port()));
    await().atMost(LIMIT).until(() -> total() >= 4);
    relay.freeze();
    awaitState("no sign of life");
    await().atMost(LIMIT).until(() -> total() == READINGS);
    numbers().forEach(ReplugIT::assertWhole);
    assertEquals(0, entries(RecordFormat.GAP).size());
  }

  private static void assertWhole(String serial, List<Long> numbers) {
    assertEquals(READINGS, numbers.size(), serial + ": one number, two readings? " + numbers);
    assertEquals(READINGS, new TreeSet<>(numbers).last(), serial + ": " + numbers);
    assertEquals(numbers.stream().sorted().toList(), numbers, serial + ": out of order");
    assertEquals(READINGS, new TreeSet<>(numbers).size(), serial + ": " + numbers);
  }

  private void station(LinkAddress address) {
    StateBoard board = new StateBoard(TimeSource.system());
    board.tell((name, record) -> states.add(new String(record, StandardCharsets.UTF_8)));
    Station station =
        new Station(
            new BridgeConfig.Station(
                "bay-1", Drivers.shipped().named("line").orElseThrow(), address),
            new Links(folder.resolve("native"))::open,
            new Recorder(journal, TimeSource.system()),
            board,
            TimeSource.system());
    toClose.add(station);
    station.start();
  }

  private SimulatorProcess simulator(String name, String... arguments) throws IOException {
    List<String> all = new ArrayList<>(List.of("--until-stdin-ends"));
    all.addAll(List.of(arguments));
    SimulatorProcess simulator = SimulatorProcess.start(folder.resolve(name), all);
    toClose.add(simulator);
    return simulator;
  }

  private static String port(SimulatorProcess simulator) throws Exception {
    return ((LinkAddress.Serial) simulator.awaitReady().address()).port();
  }

  /** Lets the name lead to another device, in one step as udev does it. */
  private void point(Path name, String device) throws IOException {
    Path next = folder.resolve("next");
    Files.createSymbolicLink(next, Path.of(device));
    Files.move(next, name, StandardCopyOption.ATOMIC_MOVE);
  }

  private void awaitState(String words) {
    await().atMost(LIMIT).until(() -> states.stream().anyMatch(state -> state.contains(words)));
  }

  private int total() throws Exception {
    return numbers().values().stream().mapToInt(List::size).sum();
  }

  /**
   * Returns the numbers of the readings in the journal's order, by instrument in order of coming.
   */
  private Map<String, List<Long>> numbers() throws Exception {
    Map<String, List<Long>> numbers = new LinkedHashMap<>();
    for (JournalEntry entry : entries(RecordFormat.READING)) {
      Reading reading = RecordFormat.reading(entry.payload()).reading();
      numbers
          .computeIfAbsent(reading.instrument().serial(), serial -> new ArrayList<>())
          .add(reading.sequence().orElseThrow().number());
    }
    return numbers;
  }

  private List<JournalEntry> entries(String kind) throws Exception {
    return journal.read(0, 1_000).stream().filter(entry -> entry.kind().equals(kind)).toList();
  }
}
