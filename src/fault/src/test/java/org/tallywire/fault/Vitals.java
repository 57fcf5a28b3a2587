package org.tallywire.fault;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.concurrent.TimeUnit;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import java.util.stream.Stream;

/** Looks at a Java process from outside: by {@code /proc}, and with {@code jcmd} at its heap. */
final class Vitals {

  private static final int COMMAND_SECONDS = 60;

  /** A row of a class histogram: rank, instances, bytes, name of the class. */
  private static final Pattern ROW = Pattern.compile("\\s*\\d+:\\s+\\d+\\s+(\\d+)\\s+(\\S+).*");

  private final Path process;
  private final long pid;

  Vitals(long pid) {
    this.pid = pid;
    this.process = Path.of("/proc", Long.toString(pid));
  }

  /** Returns whether this system has {@code /proc} and this Java has {@code jcmd}. */
  static boolean areSeen() {
    return Files.isReadable(Path.of("/proc/self/status")) && Files.isExecutable(jcmd());
  }

  /** Returns how many bytes of its memory are resident. */
  long resident() throws IOException {
    return status("VmRSS") * 1024;
  }

  int threads() throws IOException {
    return (int) status("Threads");
  }

  /** Returns its threads and open files, counted by kind: names without their digits. */
  Map<String, Integer> kinds() throws IOException {
    Map<String, Integer> kinds = new HashMap<>();
    for (Path task : list("task")) {
      count(kinds, "thread ", () -> Files.readString(task.resolve("comm")).strip());
    }
    for (Path file : list("fd")) {
      count(kinds, "file ", () -> Files.readSymbolicLink(file).toString());
    }
    return kinds;
  }

  /** Returns how many open files are among the kinds. */
  static int files(Map<String, Integer> kinds) {
    return kinds.entrySet().stream()
        .filter(kind -> kind.getKey().startsWith("file "))
        .mapToInt(Map.Entry::getValue)
        .sum();
  }

  /**
   * Returns the bytes of its live objects by class. The process makes a full collection for it, so
   * that nothing is counted that is only waiting for one.
   */
  Map<String, Long> liveBytes() throws IOException, InterruptedException {
    Path answer = Files.createTempFile("histogram", ".txt");
    try {
      Process command =
          new ProcessBuilder(jcmd().toString(), Long.toString(pid), "GC.class_histogram")
              .redirectErrorStream(true)
              .redirectOutput(answer.toFile())
              .start();
      if (!command.waitFor(COMMAND_SECONDS, TimeUnit.SECONDS) || command.exitValue() != 0) {
        command.destroyForcibly();
        throw new IOException("no histogram of process %d: %s".formatted(pid, text(answer)));
      }
      Map<String, Long> bytes = new HashMap<>();
      for (String line : Files.readAllLines(answer)) {
        Matcher row = ROW.matcher(line);
        if (row.matches()) {
          bytes.merge(row.group(2), Long.parseLong(row.group(1)), Long::sum);
        }
      }
      return bytes;
    } finally {
      Files.deleteIfExists(answer);
    }
  }

  private static String text(Path file) throws IOException {
    return Files.readString(file).strip();
  }

  private interface Name {
    String read() throws IOException;
  }

  private static void count(Map<String, Integer> kinds, String what, Name name) {
    try {
      kinds.merge(what + name.read().replaceAll("\\d+", "#"), 1, Integer::sum);
    } catch (IOException e) {
      // it has ended, or was closed, since it was listed
    }
  }

  private List<Path> list(String folder) throws IOException {
    try (Stream<Path> found = Files.list(process.resolve(folder))) {
      return found.toList();
    }
  }

  private long status(String word) throws IOException {
    for (String line : Files.readAllLines(process.resolve("status"))) {
      if (line.startsWith(word + ":")) {
        return Long.parseLong(line.replaceAll("\\D", ""));
      }
    }
    throw new IOException("%s has no %s; has the process ended?".formatted(process, word));
  }

  private static Path jcmd() {
    return Path.of(System.getProperty("java.home"), "bin", "jcmd");
  }
}
