package org.tallywire.bridge;

import java.util.HashMap;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.jspecify.annotations.Nullable;
import org.tallywire.acceptance.Step;
import org.tallywire.acceptance.Verdict;
import org.tallywire.api.Booking;
import org.tallywire.api.RecordedReading;
import org.tallywire.format.FormatException;
import org.tallywire.format.RecordFormat;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
import org.tallywire.testset.TestSetEvent;

/** What the journal says about one test set: its steps, their last readings, the last verdicts. */
final class CollectedTestSet {

  private static final int BATCH = 256;

  private final String id;
  private final Map<String, RecordedReading> readings = new HashMap<>();
  private final Map<String, String> readingOfStep = new HashMap<>();
  private final Map<String, Verdict> verdicts = new LinkedHashMap<>();
  private TestSetEvent.@Nullable Opened opened;

  private CollectedTestSet(String id) {
    this.id = id;
  }

  /** Collects a test set from the whole journal. */
  static CollectedTestSet from(Journal journal, String id)
      throws JournalException, FormatException {
    CollectedTestSet collected = new CollectedTestSet(id);
    long position = 0;
    List<JournalEntry> entries = journal.read(position, BATCH);
    while (!entries.isEmpty()) {
      for (JournalEntry entry : entries) {
        collected.add(entry);
        position = entry.position();
      }
      entries = journal.read(position, BATCH);
    }
    return collected;
  }

  private void add(JournalEntry entry) throws FormatException {
    switch (entry.kind()) {
      case RecordFormat.READING -> {
        RecordedReading reading = RecordFormat.reading(entry.payload());
        readings.put(reading.id(), reading);
      }
      case RecordFormat.BOOKING -> {
        Booking booking = RecordFormat.booking(entry.payload());
        if (booking.testSet().equals(id)) {
          readingOfStep.put(booking.step(), booking.readingId());
        }
      }
      case RecordFormat.VERDICT -> {
        Verdict verdict = RecordFormat.verdict(entry.payload());
        if (verdict.testSet().equals(id)) {
          verdicts.put(verdict.subject() + " " + verdict.criterion(), verdict);
        }
      }
      case RecordFormat.TEST_SET -> event(RecordFormat.testSetEvent(entry.payload()));
      default -> {
        // says nothing about a test set
      }
    }
  }

  private void event(TestSetEvent event) {
    if (event instanceof TestSetEvent.Opened o && o.testSet().equals(id)) {
      opened = o;
    }
  }

  TestSetEvent.Opened opened() {
    if (opened == null) {
      throw new IllegalStateException("the journal knows no test set \"%s\"".formatted(id));
    }
    return opened;
  }

  Optional<RecordedReading> reading(Step step) {
    return Optional.ofNullable(readings.get(readingOfStep.getOrDefault(step.id(), "")));
  }

  Optional<Verdict> verdict(String subject, String criterion) {
    return Optional.ofNullable(verdicts.get(subject + " " + criterion));
  }

  /**
   * Returns the last verdict of every subject and criterion, in the order they were first found.
   */
  List<Verdict> verdicts() {
    return List.copyOf(verdicts.values());
  }
}
