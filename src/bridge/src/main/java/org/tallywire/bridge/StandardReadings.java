package org.tallywire.bridge;

import java.io.PrintWriter;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.tallywire.api.Quantity;
import org.tallywire.api.RecordedReading;
import org.tallywire.api.Value;
import org.tallywire.format.FormatException;
import org.tallywire.format.RecordFormat;
import org.tallywire.format.SetupException;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.JournalView;

/**
 * The readings of a station that are to be held against a standard: named by their ids, or the next
 * ones to come.
 */
final class StandardReadings {

  private static final Duration LOOK = Duration.ofMillis(100);
  private static final int PAGE = 256;

  private final JournalView journal;
  private final String station;
  private final Quantity quantity;

  /** Makes one that looks at readings of one station with one quantity. */
  StandardReadings(JournalView journal, String station, Quantity quantity) {
    this.journal = journal;
    this.station = station;
    this.quantity = quantity;
  }

  /**
   * Returns the readings of these ids.
   *
   * @throws SetupException with every id that is none of a reading of the station
   */
  List<RecordedReading> named(List<String> ids)
      throws SetupException, JournalException, FormatException {
    List<String> problems = new ArrayList<>();
    List<RecordedReading> readings = new ArrayList<>();
    for (String id : ids) {
      Optional<JournalEntry> entry = journal.find(id);
      if (entry.isEmpty()) {
        problems.add("--readings: the journal has no record %s".formatted(id));
      } else if (!entry.get().kind().equals(RecordFormat.READING)) {
        problems.add("--readings: %s is a %s, no reading".formatted(id, entry.get().kind()));
      } else if (!entry.get().station().equals(station)) {
        problems.add(
            "--readings: %s was taken at station %s, not at %s"
                .formatted(id, entry.get().station(), station));
      } else {
        readings.add(RecordFormat.reading(entry.get().payload()));
      }
    }
    if (!problems.isEmpty()) {
      throw new SetupException(problems);
    }
    return readings;
  }

  /**
   * Waits for the next readings with the quantity and tells of each.
   *
   * @return as many as were asked for, or fewer if the time was over
   */
  List<RecordedReading> next(int count, Duration wait, PrintWriter out)
      throws JournalException, FormatException, InterruptedException {
    List<RecordedReading> readings = new ArrayList<>();
    long deadline = System.nanoTime() + wait.toNanos();
    long position = journal.head();
    int told = 0;
    out.printf(
        "Waiting up to %s for %d reading%s of %s at station %s.%n",
        Durations.written(wait), count, count == 1 ? "" : "s", quantity, station);
    while (readings.size() < count) {
      List<JournalEntry> page = journal.read(position, PAGE);
      for (JournalEntry entry : page) {
        position = entry.position();
        if (readings.size() < count) {
          reading(entry).ifPresent(readings::add);
          if (readings.size() > told) {
            told = readings.size();
            out.println(Visible.text(line(told, count, readings.get(told - 1))));
          }
        }
      }
      if (page.isEmpty()) {
        if (System.nanoTime() > deadline) {
          return readings;
        }
        Thread.sleep(LOOK.toMillis());
      }
    }
    return readings;
  }

  private Optional<RecordedReading> reading(JournalEntry entry) throws FormatException {
    if (!entry.kind().equals(RecordFormat.READING) || !entry.station().equals(station)) {
      return Optional.empty();
    }
    RecordedReading reading = RecordFormat.reading(entry.payload());
    return Optional.of(reading).filter(one -> one.reading().value(quantity).isPresent());
  }

  /** Returns a reading in a line, for the person who waits. */
  private String line(int number, int count, RecordedReading reading) {
    String value =
        reading
            .reading()
            .value(quantity)
            .map(
                one ->
                    one instanceof Value.Measured measured
                        ? measured.text() + " " + measured.unit()
                        : "no number")
            .orElse("");
    return "%d of %d: %s, %s (%s)"
        .formatted(number, count, value, reading.reading().status().word(), reading.id());
  }
}
