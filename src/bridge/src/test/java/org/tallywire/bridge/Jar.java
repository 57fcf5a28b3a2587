package org.tallywire.bridge;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;

/** The packaged program, as a user starts it; all that were started end with the close. */
final class Jar implements AutoCloseable {

  private static final Path JAR = Path.of("target/tallywire.jar").toAbsolutePath();

  private final Path folder;
  private final List<Process> started = new ArrayList<>();

  /** What it prints goes into the file {@code output} in the folder it is started in. */
  Jar(Path folder) {
    this.folder = folder;
  }

  Process start(String... arguments) throws IOException {
    return start(List.of(), arguments);
  }

  /** Starts it by way of another program, which must turn into it. */
  Process start(List<String> by, String... arguments) throws IOException {
    List<String> command = new ArrayList<>(by);
    command.add(Path.of(System.getProperty("java.home"), "bin", "java").toString());
    command.add("-XX:TieredStopAtLevel=1");
    command.add("-jar");
    command.add(JAR.toString());
    command.addAll(List.of(arguments));
    Process process =
        new ProcessBuilder(command)
            .directory(folder.toFile())
            .redirectErrorStream(true)
            .redirectOutput(ProcessBuilder.Redirect.appendTo(folder.resolve("output").toFile()))
            .start();
    started.add(process);
    return process;
  }

  /** Returns all that was printed so far. */
  String output() throws IOException {
    Path file = folder.resolve("output");
    return Files.exists(file) ? Files.readString(file) : "";
  }

  @Override
  public void close() {
    started.forEach(Process::destroyForcibly);
  }
}
