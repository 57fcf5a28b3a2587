package org.tallywire.bridge;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStream;
import java.io.InputStreamReader;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardCopyOption;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.LinkedBlockingQueue;
import java.util.concurrent.TimeUnit;
import org.tallywire.api.LinkAddress;

/**
 * The bundled simulator as a child process: its jar is unpacked into the data folder and run by the
 * Java that runs us. It ends when we do, whatever way we end, because its standard input then ends.
 */
final class SimulatorProcess implements AutoCloseable {

  private static final String JAR = "simulator.jar";
  private static final int NO_PSEUDO_TERMINAL = 4;
  private static final long START_LIMIT_S = 20;
  private static final long STOP_LIMIT_S = 3;
  private static final int BAUD = 115_200;

  private final Process process;
  private final Path log;
  private final BlockingQueue<String> lines = new LinkedBlockingQueue<>();
  private final Thread reader = new Thread(this::readLines, "simulator output");

  private SimulatorProcess(Process process, Path log) {
    this.process = process;
    this.log = log;
  }

  /** Where an instrument is to be reached, and what is wrong with the unit it pretends to test. */
  record Ready(LinkAddress address, List<String> planted) {}

  /**
   * Starts it.
   *
   * @param folder where to unpack it; its log goes there as well
   * @param arguments of the simulator
   */
  static SimulatorProcess start(Path folder, List<String> arguments) throws IOException {
    Files.createDirectories(folder);
    Path jar = folder.resolve(JAR);
    try (InputStream in = SimulatorProcess.class.getResourceAsStream(JAR)) {
      if (in == null) {
        throw new IOException(
            "the simulator is not inside this program; run the packaged tallywire.jar");
      }
      Files.copy(in, jar, StandardCopyOption.REPLACE_EXISTING);
    }
    List<String> command = new ArrayList<>();
    command.add(Path.of(System.getProperty("java.home"), "bin", "java").toString());
    command.add("-Djna.tmpdir=" + folder.toAbsolutePath());
    command.add("-XX:TieredStopAtLevel=1");
    command.add("-jar");
    command.add(jar.toString());
    command.addAll(arguments);
    Path log = folder.resolve("simulator.log");
    Process process = new ProcessBuilder(command).redirectError(log.toFile()).start();
    SimulatorProcess simulator = new SimulatorProcess(process, log);
    simulator.reader.setDaemon(true);
    simulator.reader.start();
    return simulator;
  }

  /** Waits until the next of its instruments is ready. */
  Ready awaitReady() throws IOException, InterruptedException {
    List<String> planted = new ArrayList<>();
    while (true) {
      String line = lines.poll(START_LIMIT_S, TimeUnit.SECONDS);
      if (line == null) {
        throw new IOException(
            "the simulator said nothing within %d s; see %s".formatted(START_LIMIT_S, log));
      }
      String[] words = line.split(" ", -1);
      switch (words[0]) {
        case "planted" -> planted.add(line.substring(line.indexOf(' ', 8) + 1));
        case "ready" -> {
          return new Ready(address(words[2], words[3]), planted);
        }
        default -> throw new IOException("the simulator ended: " + line);
      }
    }
  }

  boolean isAlive() {
    return process.isAlive();
  }

  long pid() {
    return process.pid();
  }

  /** Tells whether it ended because this machine gives it no pseudo-terminal. */
  boolean lacksPseudoTerminal() throws InterruptedException {
    return process.waitFor(STOP_LIMIT_S, TimeUnit.SECONDS)
        && process.exitValue() == NO_PSEUDO_TERMINAL;
  }

  @Override
  public void close() {
    try {
      process.getOutputStream().close();
      if (!process.waitFor(STOP_LIMIT_S, TimeUnit.SECONDS)) {
        process.destroyForcibly();
      }
    } catch (IOException e) {
      process.destroyForcibly();
    } catch (InterruptedException e) {
      process.destroyForcibly();
      Thread.currentThread().interrupt();
    }
  }

  private static LinkAddress address(String kind, String place) {
    if (kind.equals("pty")) {
      return LinkAddress.Serial.at(place, BAUD);
    }
    int colon = place.lastIndexOf(':');
    return new LinkAddress.Tcp(
        place.substring(0, colon), Integer.parseInt(place.substring(colon + 1)));
  }

  private void readLines() {
    try (BufferedReader out =
        new BufferedReader(
            new InputStreamReader(process.getInputStream(), StandardCharsets.UTF_8))) {
      for (String line = out.readLine(); line != null; line = out.readLine()) {
        lines.add(line);
      }
      lines.add("exit code %d, see %s".formatted(process.waitFor(), log));
    } catch (IOException e) {
      lines.add("its output broke off: " + e.getMessage());
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }
}
