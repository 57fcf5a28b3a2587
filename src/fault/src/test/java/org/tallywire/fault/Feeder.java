package org.tallywire.fault;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.junit.jupiter.api.Assertions.fail;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.UncheckedIOException;
import java.io.Writer;
import java.net.URISyntaxException;
import java.net.URL;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.TimeoutException;
import org.junit.jupiter.api.Assumptions;

/** The process that gives recorded lines on pseudo-terminals; {@code feeder.py} says how. */
final class Feeder implements AutoCloseable {

  static final String PYTHON = "/usr/bin/python3";

  private static final int ANSWER_SECONDS = 30;

  private final Path folder;
  private final Process process;
  private final Writer commands;
  private final BufferedReader answers;
  private int given;

  private Feeder(Path folder, Process process) {
    this.folder = folder;
    this.process = process;
    this.commands = process.outputWriter(StandardCharsets.US_ASCII);
    this.answers = process.inputReader(StandardCharsets.US_ASCII);
  }

  /**
   * Skips the test where there is no Python for the scripts; on a build server (CI=true) fails it.
   *
   * @param all whether the plain script is to run too, which fails without its libraries
   */
  static void require(boolean all) throws Exception {
    boolean there = Files.isExecutable(Path.of(PYTHON));
    if (!there && "true".equals(System.getenv("CI"))) {
      fail("python3 is needed on the build server: " + PYTHON);
    }
    Assumptions.assumeTrue(there, "there is no " + PYTHON);
    if (all) {
      Process tried =
          new ProcessBuilder(PYTHON, "-c", "import serial, paho.mqtt.client").inheritIO().start();
      assertTrue(tried.waitFor(ANSWER_SECONDS, TimeUnit.SECONDS), "python3 does not end");
      assertEquals(
          0, tried.exitValue(), "the plain script needs python3-serial and python3-paho-mqtt");
    }
  }

  /** Starts so many instruments that speak the line protocol. */
  static Feeder start(Path folder, int count, long seed) throws Exception {
    return start(folder, count, seed, List.of());
  }

  /** Starts one that only talks. */
  static Feeder startTalkOnly(Path folder, long seed) throws Exception {
    return start(folder, 1, seed, List.of("talk-only"));
  }

  private static Feeder start(Path folder, int count, long seed, List<String> more)
      throws Exception {
    Files.createDirectories(folder);
    List<String> command =
        new ArrayList<>(
            List.of(
                PYTHON,
                "-B",
                script("feeder.py"),
                folder.toString(),
                Integer.toString(count),
                Long.toString(seed)));
    command.addAll(more);
    Process process =
        new ProcessBuilder(command).redirectError(folder.resolve("remarks").toFile()).start();
    Feeder feeder = new Feeder(folder, process);
    feeder.answer("ready");
    return feeder;
  }

  /** Returns the path of a script beside this class. */
  static String script(String name) throws URISyntaxException {
    URL found = Feeder.class.getResource(name);
    assertTrue(found != null, name + " is not among the resources of the tests");
    return Path.of(found.toURI()).toString();
  }

  /** Returns the port of an instrument, from 1. */
  Path port(int number) {
    return folder.resolve("port-" + number);
  }

  /** Returns how many readings it was told to give so far. */
  int given() {
    return given;
  }

  /**
   * Has more readings given; returns when the first of them may go, as {@link System#nanoTime}.
   *
   * @param rate a second, of all instruments together; 0 for as fast as they are taken
   */
  long feed(int count, int rate) throws Exception {
    command("feed %d %d".formatted(count, rate));
    given += count;
    return Long.parseLong(answer("fed ").substring("fed ".length()));
  }

  /** Returns when the last byte of each reading was written, by instrument, in their order. */
  Map<Integer, List<Long>> times() throws Exception {
    Path file = folder.resolve("times");
    command("times " + file);
    answer("written");
    Map<Integer, List<Long>> times = new HashMap<>();
    for (String line : Files.readAllLines(file)) {
      String[] words = line.split(" ", -1);
      int station = Integer.parseInt(words[0].substring(words[0].indexOf('-') + 1));
      times.computeIfAbsent(station, any -> new ArrayList<>()).add(Long.valueOf(words[2]));
    }
    return times;
  }

  /** Returns what it complained of; empty if it did not. */
  String remarks() throws IOException {
    return Files.readString(folder.resolve("remarks"));
  }

  private void command(String text) throws IOException {
    commands.write(text + "\n");
    commands.flush();
  }

  private String answer(String begin) throws Exception {
    CompletableFuture<String> line = CompletableFuture.supplyAsync(this::line);
    try {
      String answer = line.get(ANSWER_SECONDS, TimeUnit.SECONDS);
      assertTrue(answer.startsWith(begin), () -> "the feeder said \"" + answer + "\"");
      return answer;
    } catch (TimeoutException | ExecutionException e) {
      throw new AssertionError("the feeder does not answer; it said: " + remarks(), e);
    }
  }

  private String line() {
    try {
      return String.valueOf(answers.readLine());
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }

  @Override
  public void close() {
    process.destroyForcibly();
  }
}
