package org.tallywire.bridge;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStreamReader;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.Callable;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.AfterEach;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.api.parallel.Execution;
import org.junit.jupiter.api.parallel.ExecutionMode;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.Value;
import org.tallywire.format.RecordFormat;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalView;
import org.tallywire.publish.Mosquitto;

/**
 * The drivers of SCPI and of IEC 62056-21, and drivers that did not come with the program, in the
 * packaged bridge, at pseudo-terminals with the simulator behind them, which has read the standards
 * for itself.
 */
@Execution(ExecutionMode.CONCURRENT)
class InstrumentLanguagesIT {

  private static final Duration LIMIT = Duration.ofSeconds(60);
  private static final int READINGS = 21;

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
  @DisplayName(
      "SCPI: a tester that measures faster than it is asked; nothing is lost, and all is judged")
  void scpi() throws Exception {
    try (SimulatorProcess simulator = simulator("--speaks=scpi", "--pace=40");
        var plate = Demo.class.getResourceAsStream("demo-nameplate.yaml")) {
      Files.write(folder.resolve("plate.yaml"), plate.readAllBytes());
      run(
          """
            bay-1:
              driver: scpi
              serial: {port: %s, baud: 115200}
              settings:
                query: "FETCh?;:DATA:LABel?"
                fields: >-
                  number, turns-ratio 1 optional, excitation-current mA times 1000 optional,
                  phase-displacement deg optional, test-voltage V optional,
                  winding-resistance Ohm optional, test-current A optional,
                  winding-temperature Cel optional,
                  number, label test, label windings, label phase, label tap, status
                missed: "DATA:READING? {number};:DATA:LABel? {number}"
                every: 0.5
                answer: 1
          test-sets:
            - {id: set-1, nameplate: plate.yaml, stations: [bay-1]}
          """
              .replace("%s", port(simulator)),
          () -> entries(RecordFormat.BOOKING).size() >= READINGS);
      List<Reading> readings = recorded();
      assertEquals(READINGS, readings.size(), jar.output());
      for (int i = 0; i < READINGS; i++) {
        assertEquals(i + 1, readings.get(i).sequence().orElseThrow().number());
      }
      assertEquals("HV-LV", readings.get(0).labels().get("windings"));
      assertEquals(4, readings.get(0).values().size(), readings.get(0).toString());
      assertTrue(readings.get(0).measured(Quantity.TURNS_RATIO).isPresent());
      assertEquals(0, entries(RecordFormat.GAP).size());
    }
  }

  @Test
  @DisplayName("IEC 62056-21, mode C: signs on at 300 baud, reads out at 9600, again and again")
  void meter() throws Exception {
    try (SimulatorProcess simulator = simulator("--speaks=meter62056", "--pace=100")) {
      run(station(port(simulator)), () -> recorded().size() >= 2);
      List<Reading> readings = recorded();
      Reading first = readings.get(0);
      assertEquals("XYz", first.instrument().maker());
      assertEquals("0001", first.instrument().serial());
      assertEquals(12, first.values().size(), first.raw());
      Value.Measured before = energy(first);
      Value.Measured after = energy(readings.get(1));
      assertEquals("kW.h", before.unit().code());
      assertTrue(after.number().compareTo(before.number()) > 0, before + ", then " + after);
    }
  }

  @Test
  @DisplayName("IEC 62056-21, mode A: everything at 300 baud")
  void meterOfModeA() throws Exception {
    try (SimulatorProcess simulator = simulator("--speaks=meter62056-a", "--pace=100")) {
      run(station(port(simulator)), () -> recorded().size() >= 1);
      Reading reading = recorded().get(0);
      assertEquals("XYZ", reading.instrument().maker());
      assertEquals(2, reading.values().size(), reading.raw());
      assertEquals("V", reading.measured(new Quantity("voltage-l1")).orElseThrow().unit().code());
    }
  }

  @Test
  @DisplayName(
      "A declared driver and a driver in a jar, from a folder: a tester that only talks is judged, a thermometer is asked")
  void strangers() throws Exception {
    Path drivers = Files.createDirectory(folder.resolve("drivers"));
    Files.copy(
        Path.of("../../shared/declared/talk-only-tester.yaml"), drivers.resolve("tester.yaml"));
    Path example = ExampleJar.build(folder);
    Files.copy(example, drivers.resolve("thermometer.jar"));
    try (SimulatorProcess simulator = simulator("--speaks=talk-only", "--pace=40");
        Thermometer thermometer = new Thermometer();
        var plate = Demo.class.getResourceAsStream("demo-nameplate.yaml")) {
      Files.write(folder.resolve("plate.yaml"), plate.readAllBytes());
      run(
          """
            bay-1:
              driver: talk-only-tester
              settings: {serial: HL-7}
              serial: {port: %s, baud: 115200}
            bay-2:
              driver: thermometer
              settings: {every: 1}
              tcp: {host: 127.0.0.1, port: %d}
          drivers:
            folder: drivers
            digests: {thermometer.jar: %s}
          test-sets:
            - {id: set-1, nameplate: plate.yaml, stations: [bay-1]}
          """
              .formatted(port(simulator), thermometer.port(), DriverFile.read(example).digest()),
          () ->
              entries(RecordFormat.BOOKING).size() >= READINGS
                  && recorded().stream().anyMatch(r -> r.instrument().serial().equals("0042")));
      List<Reading> readings = recorded();
      assertEquals(
          READINGS, readings.stream().filter(r -> r.instrument().serial().equals("HL-7")).count());
      assertTrue(jar.output().contains("driver thermometer 1.0 from"), jar.output());
      assertTrue(jar.output().contains("driver talk-only-tester 1.0 from"), jar.output());
    }
  }

  /** The invented thermometer of {@code drivers/example}, at a TCP port. */
  private static final class Thermometer implements AutoCloseable {

    private final ServerSocket server = new ServerSocket(0, 1, InetAddress.getLoopbackAddress());

    Thermometer() throws IOException {
      Thread thread = new Thread(this::serve, "thermometer");
      thread.setDaemon(true);
      thread.start();
    }

    int port() {
      return server.getLocalPort();
    }

    private void serve() {
      while (!server.isClosed()) {
        try (Socket caller = server.accept();
            BufferedReader in =
                new BufferedReader(
                    new InputStreamReader(caller.getInputStream(), StandardCharsets.US_ASCII))) {
          for (String line = in.readLine(); line != null; line = in.readLine()) {
            String answer = line.equals("I?") ? "THERMO TH-1,0042\r\n" : "+23.40 C\r\n";
            caller.getOutputStream().write(answer.getBytes(StandardCharsets.US_ASCII));
          }
        } catch (IOException e) {
          // the caller is gone, or the test is over
        }
      }
    }

    @Override
    public void close() throws IOException {
      server.close();
    }
  }

  private static Value.Measured energy(Reading reading) {
    return reading.measured(new Quantity("active-energy-import")).orElseThrow();
  }

  private static String station(String port) {
    return """
          bay-1:
            driver: meter62056
            serial: {port: %s}
            settings: {every: 2}
        """
        .formatted(port);
  }

  /** Runs the bridge until something is so, then ends it. */
  private void run(String stations, Callable<Boolean> until) throws Exception {
    Files.writeString(
        folder.resolve("tallywire.yaml"),
        """
        site: invented
        data: data
        mqtt:
          broker: tcp://127.0.0.1:%d
        page:
          port: 0
        stations:
        """
                .formatted(Mosquitto.freePort())
            + stations);
    Process bridge = jar.start("run", "tallywire.yaml");
    await().atMost(LIMIT).until(() -> !bridge.isAlive() || until.call());
    assertTrue(bridge.isAlive(), jar.output());
    bridge.destroy();
    assertTrue(bridge.waitFor(15, TimeUnit.SECONDS), "it did not stop when asked to");
  }

  private SimulatorProcess simulator(String... arguments) throws Exception {
    List<String> all = new ArrayList<>(List.of("--until-stdin-ends", "--pty"));
    all.addAll(List.of(arguments));
    return SimulatorProcess.start(folder.resolve("simulator"), all);
  }

  private static String port(SimulatorProcess simulator) throws Exception {
    return ((LinkAddress.Serial) simulator.awaitReady().address()).port();
  }

  private List<Reading> recorded() throws Exception {
    List<Reading> readings = new ArrayList<>();
    for (JournalEntry entry : entries(RecordFormat.READING)) {
      readings.add(RecordFormat.reading(entry.payload()).reading());
    }
    return readings;
  }

  /**
   * Returns the entries of a kind in the journal that the bridge writes, none before it has one.
   */
  private List<JournalEntry> entries(String kind) throws Exception {
    if (!jar.output().contains("the instrument is")) {
      return List.of();
    }
    try (JournalView journal = JournalView.open(folder.resolve("data"))) {
      return journal.read(0, 1_000).stream().filter(entry -> entry.kind().equals(kind)).toList();
    }
  }
}
