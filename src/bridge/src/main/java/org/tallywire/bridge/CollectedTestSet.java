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

  private final Journal journal;
  private final String id;
  private final Map<String, RecordedReading> readingOfStep = new HashMap<>();
  private final Map<String, String> bookingOfStep = new HashMap<>();
  private final Map<String, Verdict> verdicts = new LinkedHashMap<>();
  private TestSetEvent.@Nullable Opened opened;

  private CollectedTestSet(Journal journal, String id) {
    this.journal = journal;
    this.id = id;
  }

  /** Collects a test set from the whole journal. */
  static CollectedTestSet from(Journal journal, String id)
      throws JournalException, FormatException {
    CollectedTestSet collected = new CollectedTestSet(journal, id);
    JournalWalk.over(journal::read, collected::add);
    return collected;
  }

  private void add(JournalEntry entry) throws JournalException, FormatException {
    switch (entry.kind()) {
      case RecordFormat.BOOKING -> {
        Booking booking = RecordFormat.booking(entry.payload());
        if (booking.testSet().equals(id)) {
          add(booking);
        }
      }
      case RecordFormat.VERDICT -> {
        Verdict verdict = RecordFormat.verdict(entry.payload());
        if (verdict.testSet().equals(id)) {
          add(verdict);
        }
      }
      case RecordFormat.TEST_SET -> event(RecordFormat.testSetEvent(entry.payload()));
      default -> {
        // says nothing about a test set, or is found through its booking
      }
    }
  }

  /**
   * The last booking of a reading wins, and the last reading booked to a step. It takes the place
   * of all verdicts on that step.
   */
  private void add(Booking booking) throws JournalException, FormatException {
    bookingOfStep.put(booking.step(), booking.id());
    verdicts.values().removeIf(verdict -> verdict.subject().equals(booking.step()));
    readingOfStep.values().removeIf(reading -> reading.id().equals(booking.readingId()));
    Optional<JournalEntry> reading = journal.find(booking.readingId());
    if (reading.isPresent()) {
      readingOfStep.put(booking.step(), RecordFormat.reading(reading.get().payload()));
    }
  }

  /** A verdict on a step that comes after a newer booking to that step does not count any more. */
  private void add(Verdict verdict) {
    String booking = bookingOfStep.get(verdict.subject());
    if (booking == null || verdict.bookings().contains(booking)) {
      verdicts.put(verdict.subject() + " " + verdict.criterion(), verdict);
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
    return Optional.ofNullable(readingOfStep.get(step.id()));
  }

  Optional<Verdict> verdict(String subject, String criterion) {
    return Optional.ofNullable(verdicts.get(subject + " " + criterion));
  }

  /**
   * Returns the last verdict of every subject and criterion; of a step those that its last booking
   * made.
   */
  List<Verdict> verdicts() {
    return List.copyOf(verdicts.values());
  }
}
