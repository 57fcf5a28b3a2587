package org.tallywire.fault;

import java.io.IOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.stream.Stream;

/**
 * The processor time of a process so far, by kind of thread: names without their digits.
 *
 * @param seconds of all threads, also those that have ended
 */
record Cost(double seconds, Map<String, Double> threads) {

  /** What Linux counts in, on every machine that Java 17 runs on. */
  private static final double TICKS = 100;

  private static final int MOST_KINDS = 8;

  Cost {
    threads = Map.copyOf(threads);
  }

  static Cost of(long pid) throws IOException {
    Path process = Path.of("/proc", Long.toString(pid));
    Map<String, Double> threads = new HashMap<>();
    try (Stream<Path> tasks = Files.list(process.resolve("task"))) {
      for (Path task : tasks.toList()) {
        String name = Files.readString(task.resolve("comm")).strip().replaceAll("[\\d#]+", "");
        threads.merge(name.strip(), seconds(task), Double::sum);
      }
    }
    return new Cost(seconds(process), threads);
  }

  /** Returns user and system time: the fields 14 and 15 of proc(5), counted behind the name. */
  private static double seconds(Path process) throws IOException {
    String line = Files.readString(process.resolve("stat"));
    String[] fields = line.substring(line.lastIndexOf(')') + 2).split(" ", -1);
    return (Long.parseLong(fields[11]) + Long.parseLong(fields[12])) / TICKS;
  }

  Cost since(Cost before) {
    Map<String, Double> more = new HashMap<>();
    threads.forEach(
        (name, spent) -> more.put(name, spent - before.threads.getOrDefault(name, 0.0)));
    return new Cost(seconds - before.seconds, more);
  }

  /** Returns the kinds of threads that cost most, with their share. */
  List<String> most() {
    return threads.entrySet().stream()
        .sorted(Map.Entry.<String, Double>comparingByValue().reversed())
        .limit(MOST_KINDS)
        .map(one -> "%s %.0f %%".formatted(one.getKey(), 100 * one.getValue() / seconds))
        .toList();
  }
}
