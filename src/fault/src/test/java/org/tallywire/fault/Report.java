package org.tallywire.fault;

import java.io.IOException;
import java.io.UncheckedIOException;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.TreeMap;

/** The table of all faults of this run, in {@code target/faults.md}. Safe for several threads. */
final class Report {

  private static final Path FILE = Path.of("target", "faults.md");
  private static final Map<String, Row> ROWS = new TreeMap<>();

  private Report() {}

  /**
   * What came of one fault.
   *
   * @param cycles how many times it was
   * @param readings how many readings were in play
   * @param lost how many are missing and not declared
   * @param doubled how many are there twice, or in two versions
   * @param declared how many are missing and declared
   * @param recovery the longest time from the end of a fault to the next reading through; zero
   *     where that is not measured
   * @param note what else is to be known, in a few words; may be empty
   */
  record Row(
      Fault fault,
      long cycles,
      long readings,
      long lost,
      long doubled,
      long declared,
      Duration recovery,
      String note) {

    static Row of(Fault fault, long cycles, Findings found, Duration recovery, String note) {
      return new Row(
          fault,
          cycles,
          found.readings(),
          found.lost(),
          found.doubled(),
          found.declared(),
          recovery,
          note);
    }

    private String line() {
      String longest =
          recovery.isZero()
              ? "–"
              : String.format(Locale.ROOT, "%.1f s", recovery.toMillis() / 1000.0);
      return "| %s | %d | %d | %d | %d | %d | %s | %d | %s |"
          .formatted(
              fault.word(), cycles, readings, lost, doubled, declared, longest, fault.seed(), note);
    }
  }

  /** Takes a row, writes the file anew and prints the row. */
  static void add(Row row) {
    synchronized (ROWS) {
      ROWS.put(row.fault().word(), row);
      try {
        Files.createDirectories(FILE.toAbsolutePath().getParent());
        Files.write(FILE, table());
      } catch (IOException e) {
        throw new UncheckedIOException("the report cannot be written: " + FILE, e);
      }
    }
    System.out.println(row.line());
  }

  /** Returns the table as it is by now; empty if there is no row. */
  static List<String> table() {
    synchronized (ROWS) {
      List<String> lines = new ArrayList<>();
      if (!ROWS.isEmpty()) {
        lines.add(
            "| fault | cycles | readings | lost | doubled | declared missing | longest recovery"
                + " | seed | |");
        lines.add("|---|--:|--:|--:|--:|--:|--:|--:|---|");
        ROWS.values().forEach(row -> lines.add(row.line()));
      }
      return lines;
    }
  }
}
