package org.tallywire.fault;

import static org.awaitility.Awaitility.await;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStreamReader;
import java.io.Writer;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.CopyOnWriteArrayList;

/** The packaged simulator as a process, with some instruments that never get to an end. */
final class Instruments implements AutoCloseable {

  /** Many positions: most readings are ratios then, which are quick. */
  private static final String SCENARIO =
      """
      scenario: A bench that is never done
      about: Invented. Measures everything again and again.
      seed: 1
      transformer:
        serial: FB-0001
        power: 250 kVA
        group: Dyn11
        high voltage: 11 000 V
        low voltage: 433 V
        frequency: 50 Hz
        impedance: 4.5 %
        taps: {winding: HV, positions: 17, step: 1 %, principal: 9}
        high voltage conductor: copper
        low voltage conductor: aluminium
      tester:
        rounds: 1000
      """;

  private static final int POSITIONS = 17;
  private static final int PRINCIPAL = 9;

  private final Path folder;
  private final int count;
  private final Process process;
  private final Writer commands;
  private final List<String> said = new CopyOnWriteArrayList<>();

  /**
   * Starts them and returns when all are ready.
   *
   * @param pace how many times faster than in real life they measure; 10 is some 14 readings a
   *     second of each
   * @param more further options of the simulator
   */
  static Instruments start(Path folder, int count, double pace, String... more) throws IOException {
    Files.createDirectories(folder);
    Path scenario = folder.resolve("scenario.yaml");
    Files.writeString(scenario, SCENARIO);
    List<String> command =
        new ArrayList<>(
            List.of(
                Program.java(),
                "-Xmx256m",
                "-XX:TieredStopAtLevel=1",
                "-Djna.tmpdir=" + folder.toAbsolutePath(),
                "-jar",
                Program.jar("simulator.jar"),
                "--until-stdin-ends",
                "--pty",
                "--scenario=" + scenario,
                "--instruments=" + count,
                "--pace=" + pace,
                "--link=" + folder.resolve("port"),
                "--taken=" + folder.resolve("taken")));
    command.addAll(List.of(more));
    Process process =
        new ProcessBuilder(command).redirectError(folder.resolve("remarks").toFile()).start();
    Instruments started = new Instruments(folder, count, process);
    Thread reader = new Thread(started::read, "instruments");
    reader.setDaemon(true);
    reader.start();
    await()
        .atMost(Duration.ofSeconds(60))
        .until(() -> started.said("ready") >= count || !process.isAlive());
    if (!process.isAlive()) {
      throw new IOException(Files.readString(folder.resolve("remarks")));
    }
    return started;
  }

  private Instruments(Path folder, int count, Process process) {
    this.folder = folder;
    this.count = count;
    this.process = process;
    this.commands = process.outputWriter(StandardCharsets.UTF_8);
  }

  /** Returns the plate of the unit under test, as a test set needs it. */
  static String plate() {
    StringBuilder taps = new StringBuilder();
    for (int position = 1; position <= POSITIONS; position++) {
      int volts = 11_000 + 110 * (PRINCIPAL - position);
      taps.append("  - {position: %d, voltage: %d}%n".formatted(position, volts));
    }
    return """
    asset: FB-0001
    group: Dyn11
    rated-power: 250
    hv-voltage: 11000
    lv-voltage: 433
    frequency: 50
    taps:
    %sprincipal-tap: %d
    hv-conductor: copper
    lv-conductor: aluminium
    reference-temperature: 75
    impedance-percent: 4.5
    """
        .formatted(taps, PRINCIPAL);
  }

  int count() {
    return count;
  }

  /** Returns the port of an instrument, from 0, which is a link that follows it. */
  Path port(int index) {
    return folder.resolve(count == 1 ? "port" : "port-" + (index + 1));
  }

  /** Returns the serial number of an instrument, from 0. */
  static String serial(int index) {
    return "SIM-%04d".formatted(index + 1);
  }

  /** Gives a command and waits until it is answered by a word for each instrument that is meant. */
  void command(String text, String answer) throws IOException {
    int before = said(answer);
    int meant = text.startsWith("SIM-") ? 1 : count;
    commands.write(text + "\n");
    commands.flush();
    await().atMost(Duration.ofSeconds(20)).until(() -> said(answer) >= before + meant);
  }

  void pause() throws IOException {
    command("pause", "paused");
  }

  void resume() throws IOException {
    command("resume", "resumed");
  }

  /** Returns what was taken so far. */
  List<Taken> taken() throws IOException {
    return Taken.read(folder.resolve("taken"));
  }

  /** Returns how many lines it has said that begin with a word. */
  int said(String word) {
    return (int) said.stream().filter(line -> line.startsWith(word + " ")).count();
  }

  private void read() {
    try (BufferedReader lines =
        new BufferedReader(
            new InputStreamReader(process.getInputStream(), StandardCharsets.UTF_8))) {
      for (String line = lines.readLine(); line != null; line = lines.readLine()) {
        said.add(line);
      }
    } catch (IOException e) {
      // it was ended
    }
  }

  @Override
  public void close() throws IOException {
    process.destroyForcibly();
    for (int index = 0; index < count; index++) {
      Files.deleteIfExists(port(index));
    }
  }
}
