package org.tallywire.bridge;

import java.io.IOException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;

/** The packaged program, as a user starts it. */
final class Jar {

  private static final Path JAR = Path.of("target/tallywire.jar").toAbsolutePath();

  private Jar() {}

  /** Starts it in a folder; what it prints goes into the file {@code output} there. */
  static Process start(Path folder, String... arguments) throws IOException {
    List<String> command = new ArrayList<>();
    command.add(Path.of(System.getProperty("java.home"), "bin", "java").toString());
    command.add("-XX:TieredStopAtLevel=1");
    command.add("-jar");
    command.add(JAR.toString());
    command.addAll(List.of(arguments));
    return new ProcessBuilder(command)
        .directory(folder.toFile())
        .redirectErrorStream(true)
        .redirectOutput(ProcessBuilder.Redirect.appendTo(folder.resolve("output").toFile()))
        .start();
  }
}
