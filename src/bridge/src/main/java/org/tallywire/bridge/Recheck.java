package org.tallywire.bridge;

import java.util.ArrayList;
import java.util.Arrays;
import java.util.HashMap;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import org.tallywire.acceptance.Verdict;
import org.tallywire.api.Booking;
import org.tallywire.api.RecordedReading;
import org.tallywire.format.FormatException;
import org.tallywire.format.RecordFormat;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
import org.tallywire.testset.TestSet;
import org.tallywire.testset.TestSetEvent;

/** Every verdict of a journal, derived again from its readings, bookings and test sets. */
final class Recheck {

  private static final int BATCH = 256;

  private final Journal journal;
  private final Map<String, TestSet> testSets = new HashMap<>();
  private final Map<String, RecordedReading> readings = new HashMap<>();
  private final Set<String> derived = new HashSet<>();
  private final Set<String> recorded = new HashSet<>();
  private final List<String> differences = new ArrayList<>();

  /** The bridge was stopped before it judged what comes after this entry. */
  private final long examined;

  private Recheck(Journal journal) throws JournalException {
    this.journal = journal;
    this.examined = journal.cursor(Examination.CURSOR);
  }

  static Recheck of(Journal journal) throws JournalException, FormatException {
    Recheck recheck = new Recheck(journal);
    long position = 0;
    List<JournalEntry> entries = journal.read(position, BATCH);
    while (!entries.isEmpty()) {
      for (JournalEntry entry : entries) {
        recheck.take(entry);
        position = entry.position();
      }
      entries = journal.read(position, BATCH);
    }
    recheck.recorded.removeAll(recheck.derived);
    recheck.recorded.forEach(
        id -> recheck.differences.add(id + ": stands in the journal and cannot be derived"));
    return recheck;
  }

  int derived() {
    return derived.size();
  }

  List<String> differences() {
    return List.copyOf(differences);
  }

  private void take(JournalEntry entry) throws JournalException, FormatException {
    switch (entry.kind()) {
      case RecordFormat.TEST_SET -> {
        TestSetEvent event = RecordFormat.testSetEvent(entry.payload());
        if (event instanceof TestSetEvent.Opened opened) {
          testSets.put(opened.testSet(), new TestSet(opened));
        } else {
          testSets.remove(event.testSet());
        }
      }
      case RecordFormat.READING -> {
        RecordedReading reading = RecordFormat.reading(entry.payload());
        readings.put(reading.id(), reading);
      }
      case RecordFormat.BOOKING -> {
        if (entry.position() <= examined) {
          booking(RecordFormat.booking(entry.payload()));
        }
      }
      case RecordFormat.VERDICT -> recorded.add(entry.id());
      default -> {
        // nothing is derived from it
      }
    }
  }

  private void booking(Booking booking) throws JournalException {
    TestSet testSet = testSets.get(booking.testSet());
    RecordedReading reading = readings.get(booking.readingId());
    if (testSet == null || reading == null) {
      return;
    }
    for (Verdict verdict : testSet.booked(reading, booking)) {
      derived.add(verdict.id());
      Optional<JournalEntry> entry = journal.find(verdict.id());
      if (entry.isEmpty()) {
        differences.add(
            "%s: derived now, not in the journal: %s".formatted(verdict.id(), verdict.sentence()));
      } else if (!Arrays.equals(entry.get().payload(), RecordFormat.write(verdict))) {
        differences.add(
            "%s: derived now with other figures: %s".formatted(verdict.id(), verdict.sentence()));
      }
    }
  }
}
