package org.tallywire.fault;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.TimeUnit;
import java.util.stream.Stream;
import org.jspecify.annotations.Nullable;

/** The packaged bridge as a process, started again and again in one folder. */
final class Program implements AutoCloseable {

  private static final int STOP_SECONDS = 30;
  private static final Duration LONGEST_START = Duration.ofMinutes(1);

  /** What it prints last when it is at work. */
  private static final String RUNS = "Stop it with Ctrl-C.";

  private final Path folder;
  private final List<String> options;
  private final Map<String, String> environment = new HashMap<>();
  private @Nullable Process process;

  /**
   * A program that is not started yet.
   *
   * @param folder where its {@code tallywire.yaml} is, and its output will be
   * @param options of the Java that runs it
   */
  Program(Path folder, String... options) {
    this.folder = folder;
    this.options = new ArrayList<>(List.of(options));
  }

  /**
   * Runs it once and stops it, so that Java keeps its classes in an archive: later starts take
   * little more than half the processor time.
   */
  void quicken() throws IOException, InterruptedException {
    Path archive = folder.resolve("classes.jsa").toAbsolutePath();
    String making = "-XX:ArchiveClassesAtExit=" + archive;
    options.add(making);
    long before = said(RUNS);
    start();
    await().atMost(LONGEST_START).until(() -> said(RUNS) > before || !isAlive());
    stop();
    options.remove(making);
    assertTrue(Files.isRegularFile(archive), "no archive of classes was made:\n" + lastLines());
    options.add("-XX:SharedArchiveFile=" + archive);
  }

  static String java() {
    return Path.of(System.getProperty("java.home"), "bin", "java").toString();
  }

  /** Returns the path of a packaged program. */
  static String jar(String name) {
    String jar = System.getProperty(name, "");
    assertTrue(Files.isRegularFile(Path.of(jar)), name + " is not packaged: \"" + jar + "\"");
    return Path.of(jar).toAbsolutePath().normalize().toString();
  }

  /** Gives it variables of the environment from the next start on. */
  void with(Map<String, String> variables) {
    environment.putAll(variables);
  }

  /** Starts it; it may end by itself. */
  void start() throws IOException {
    List<String> command = new ArrayList<>(List.of(java(), "-XX:TieredStopAtLevel=1", "-Xmx256m"));
    command.addAll(options);
    command.addAll(List.of("-jar", jar("tallywire.jar"), "run", "tallywire.yaml"));
    ProcessBuilder builder =
        new ProcessBuilder(command)
            .directory(folder.toFile())
            .redirectErrorStream(true)
            .redirectOutput(ProcessBuilder.Redirect.appendTo(folder.resolve("output").toFile()));
    builder.environment().putAll(environment);
    process = builder.start();
  }

  /** Returns how many lines it has printed that contain some words. */
  long said(String words) throws IOException {
    Path file = folder.resolve("output");
    try (Stream<String> lines = Files.exists(file) ? Files.lines(file) : Stream.empty()) {
      return lines.filter(line -> line.contains(words)).count();
    }
  }

  Path folder() {
    return folder;
  }

  boolean isAlive() {
    return process != null && process.isAlive();
  }

  long pid() {
    return process == null ? 0 : process.pid();
  }

  /** Ends it as {@code kill -9} does. */
  void kill() throws InterruptedException {
    if (process != null) {
      process.destroyForcibly().waitFor();
    }
  }

  /** Asks it to stop and waits until it has. */
  void stop() throws InterruptedException {
    if (process != null) {
      process.destroy();
      assertTrue(process.waitFor(STOP_SECONDS, TimeUnit.SECONDS), "it did not stop when asked to");
    }
  }

  /** Returns the last lines that it has printed, for a message. */
  String lastLines() throws IOException {
    Path file = folder.resolve("output");
    List<String> lines = Files.exists(file) ? Files.readAllLines(file) : List.of();
    return String.join("\n", lines.subList(Math.max(0, lines.size() - 30), lines.size()));
  }

  @Override
  public void close() {
    if (process != null) {
      process.destroyForcibly();
    }
  }
}
