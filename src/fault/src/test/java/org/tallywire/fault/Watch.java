package org.tallywire.fault;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.fail;

import java.io.File;
import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.TimeUnit;
import org.junit.jupiter.api.Assumptions;

/**
 * The watcher of file operations: a library in C between a process and libc, compiled here, with
 * its control file and its trace. See {@code src/test/c/watch.h}.
 *
 * @param library the compiled library
 * @param folder the folder whose files are watched, by its real path
 * @param control the control file
 * @param trace the trace, which only grows
 */
record Watch(Path library, Path folder, Path control, Path trace) {

  private static final Path SOURCES = Path.of("src", "test", "c").toAbsolutePath();
  private static Path compiled;

  /**
   * Makes a watcher of {@code folder/watched}. Skips the test where there is no gcc or this is not
   * Linux; on a build server (CI=true) fails it.
   */
  static Watch require(Path folder) throws IOException, InterruptedException {
    return require(folder, folder.toRealPath().resolve("watched"));
  }

  /** Makes a watcher of a folder; its control file and its trace are in the other one. */
  static Watch require(Path folder, Path watched) throws IOException, InterruptedException {
    Path library = compile();
    Path real = folder.toRealPath();
    Files.createDirectories(watched);
    Path control = real.resolve("control");
    WatchControl.of(control);
    return new Watch(library, watched, control, real.resolve("trace"));
  }

  /** Returns the variables with which a process is watched. */
  Map<String, String> environment(boolean terminals) {
    Map<String, String> variables = new HashMap<>();
    variables.put("LD_PRELOAD", library.toString());
    variables.put("TALLYWIRE_WATCH_FOLDER", folder.toString());
    variables.put("TALLYWIRE_WATCH_CONTROL", control.toString());
    variables.put("TALLYWIRE_WATCH_TRACE", trace.toString());
    if (terminals) {
      variables.put("TALLYWIRE_WATCH_TERMINALS", "1");
    }
    return variables;
  }

  /** Starts a class of ours as a watched process; its output goes to a file beside the trace. */
  Process start(Class<?> main, String... arguments) throws IOException {
    List<String> command = new ArrayList<>();
    command.add(Path.of(System.getProperty("java.home"), "bin", "java").toString());
    command.add("-XX:TieredStopAtLevel=1");
    command.add("-Dlogback.configurationFile=" + quiet());
    command.add("-cp");
    command.add(System.getProperty("java.class.path"));
    command.add(main.getName());
    command.addAll(List.of(arguments));
    ProcessBuilder builder =
        new ProcessBuilder(command)
            .redirectErrorStream(true)
            .redirectOutput(ProcessBuilder.Redirect.appendTo(output().toFile()));
    builder.environment().putAll(environment(false));
    return builder.start();
  }

  Path output() {
    return trace.resolveSibling("output");
  }

  /** Thousands of planned failures need not be in a log. */
  private Path quiet() throws IOException {
    return Files.writeString(
        trace.resolveSibling("logback.xml"),
        "<configuration><root level=\"OFF\"/></configuration>\n");
  }

  private static synchronized Path compile() throws IOException, InterruptedException {
    boolean linux = System.getProperty("os.name").equals("Linux");
    boolean there = linux && onPath("gcc");
    if (!there && "true".equals(System.getenv("CI"))) {
      fail("gcc on Linux is needed on the build server");
    }
    Assumptions.assumeTrue(there, "no gcc, or not Linux: file operations cannot be watched");
    if (compiled == null) {
      Path target = Files.createDirectories(Path.of("target", "watch").toAbsolutePath());
      Path library = target.resolve("libwatch.so");
      Path said = target.resolve("gcc.log");
      Process gcc =
          new ProcessBuilder(
                  "gcc",
                  "-std=gnu99",
                  "-O2",
                  "-Wall",
                  "-Wextra",
                  "-Werror",
                  "-fPIC",
                  "-shared",
                  "-o",
                  library.toString(),
                  SOURCES.resolve("watch.c").toString(),
                  SOURCES.resolve("trace.c").toString(),
                  "-ldl",
                  "-lpthread")
              .redirectErrorStream(true)
              .redirectOutput(said.toFile())
              .start();
      if (!gcc.waitFor(60, TimeUnit.SECONDS)) {
        gcc.destroyForcibly();
        fail("gcc did not end within 60 s");
      }
      assertEquals(0, gcc.exitValue(), Files.readString(said));
      compiled = library;
    }
    return compiled;
  }

  private static boolean onPath(String program) {
    for (String place : System.getenv("PATH").split(File.pathSeparator, -1)) {
      if (Files.isExecutable(Path.of(place, program))) {
        return true;
      }
    }
    return false;
  }
}
