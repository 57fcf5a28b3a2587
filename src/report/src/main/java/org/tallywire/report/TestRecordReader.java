package org.tallywire.report;

import java.util.ArrayList;
import java.util.HashSet;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.TreeMap;
import org.jspecify.annotations.Nullable;
import org.tallywire.acceptance.BookedReading;
import org.tallywire.acceptance.Step;
import org.tallywire.acceptance.Verdict;
import org.tallywire.api.Booking;
import org.tallywire.api.Gap;
import org.tallywire.api.RecordedReading;
import org.tallywire.format.AnyRecord;
import org.tallywire.format.FormatException;
import org.tallywire.format.RecordFormat;
import org.tallywire.journal.Anchor;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
import org.tallywire.testset.ChecklistAnswer;
import org.tallywire.testset.InstrumentEvent;
import org.tallywire.testset.Note;
import org.tallywire.testset.TestSet;
import org.tallywire.testset.TestSetEvent;

/**
 * Collects the record of one test set from a journal's entries, which it is given in their order,
 * from the first to the last. Which reading counts is decided by {@link TestSet}, as in the bridge.
 * Used by one thread.
 */
public final class TestRecordReader {

  /** Looks into the journal beside its order. */
  public interface Lookup {
    /** Returns the entry with an id. */
    Optional<JournalEntry> find(String id) throws JournalException;

    /** Returns the digest of the entry before a position that is there. */
    byte[] digestBefore(long position) throws JournalException;
  }

  private final String id;
  private final Lookup lookup;
  private final String journal;

  private @Nullable TestSet testSet;
  private TestSetEvent.@Nullable Closed closed;
  private TestRecord.@Nullable Head head;
  private byte[] previous;

  private final Set<String> othersOpen = new HashSet<>();
  private final List<TestSetEvent.During> events = new ArrayList<>();
  private final Map<Long, RecordedEntry> entries = new TreeMap<>();
  private final Map<String, TestRecord.Taken> booked = new LinkedHashMap<>();
  private final Supersession supersession = new Supersession();
  private final Verdicts verdicts = new Verdicts();
  private final Set<String> arrived = new LinkedHashSet<>();
  private final List<Note> notes = new ArrayList<>();
  private final List<ChecklistAnswer> answers = new ArrayList<>();
  private final List<Gap> gaps = new ArrayList<>();
  private final List<InstrumentEvent> verifications = new ArrayList<>();
  private final Map<String, RecordedEntry> verificationEntries = new LinkedHashMap<>();

  /** Those that its stations took, as long as it is not known whether they are booked. */
  private final Map<String, RecordedEntry> readings = new LinkedHashMap<>();

  /**
   * Begins with nothing.
   *
   * @param testSet its id
   * @param journal identity of the journal
   * @param anchor where retention cut it off
   */
  public TestRecordReader(String testSet, String journal, Anchor anchor, Lookup lookup) {
    this.id = testSet;
    this.journal = journal;
    this.lookup = lookup;
    this.previous = anchor.digest();
  }

  /**
   * Takes the next entry.
   *
   * @throws FormatException if it cannot be read, saying which
   */
  public void take(JournalEntry entry) throws JournalException, FormatException {
    RecordedEntry recorded = RecordedEntry.of(entry, previous);
    try {
      take(entry, recorded);
    } catch (FormatException e) {
      throw new FormatException(
          "entry %d, %s: %s".formatted(entry.position(), entry.id(), e.getMessage()), e);
    }
    previous = entry.digest();
    head = new TestRecord.Head(entry.position(), recorded.digest(), entry.writtenAt());
  }

  private void take(JournalEntry entry, RecordedEntry recorded)
      throws JournalException, FormatException {
    switch (entry.kind()) {
      case RecordFormat.TEST_SET -> event(RecordFormat.testSetEvent(entry.payload()), recorded);
      case RecordFormat.READING -> reading(entry, recorded);
      case RecordFormat.BOOKING -> booking(RecordFormat.booking(entry.payload()), recorded);
      case RecordFormat.VERDICT -> verdict(AnyRecord.of(entry.payload()), recorded);
      case RecordFormat.VERIFICATION ->
          verification(RecordFormat.instrumentEvent(entry.payload()), recorded);
      case RecordFormat.GAP -> {
        if (open() && fed(entry.station())) {
          gaps.add(RecordFormat.gap(entry.payload()));
          keep(recorded);
        }
      }
      case RecordFormat.NOTE -> note(RecordFormat.note(entry.payload()), recorded);
      case RecordFormat.CHECKLIST ->
          answer(RecordFormat.checklistAnswer(entry.payload()), recorded);
      default -> {
        // says nothing about a test set
      }
    }
  }

  private boolean open() {
    return testSet != null && closed == null;
  }

  private boolean fed(String station) {
    return testSet != null && testSet.fedBy(station);
  }

  private void keep(RecordedEntry recorded) {
    entries.put(recorded.position(), recorded);
  }

  private void event(TestSetEvent event, RecordedEntry recorded) {
    if (!event.testSet().equals(id)) {
      if (event instanceof TestSetEvent.Opened) {
        othersOpen.add(event.testSet());
      } else if (event instanceof TestSetEvent.Closed) {
        othersOpen.remove(event.testSet());
      }
      return;
    }
    keep(recorded);
    if (event instanceof TestSetEvent.Opened opened) {
      testSet = new TestSet(opened);
    } else if (event instanceof TestSetEvent.Closed end) {
      closed = end;
    } else if (event instanceof TestSetEvent.During during && testSet != null && open()) {
      events.add(during);
      testSet.take(during);
      if (during instanceof TestSetEvent.Repeat repeat) {
        supersession.repeat(repeat);
      }
    }
  }

  private void reading(JournalEntry entry, RecordedEntry recorded) {
    if (open() && fed(entry.station())) {
      arrived.add(entry.id());
      readings.put(entry.id(), recorded);
    }
  }

  private void booking(Booking booking, RecordedEntry recorded)
      throws JournalException, FormatException {
    if (testSet == null || !open()) {
      return;
    }
    arrived.remove(booking.readingId());
    if (!booking.testSet().equals(id)) {
      if (othersOpen.contains(booking.testSet()) && booked.containsKey(booking.readingId())) {
        testSet.left(booking.readingId());
        supersession.elsewhere(booking);
        keep(recorded);
      }
      return;
    }
    keep(recorded);
    Optional<JournalEntry> found = lookup.find(booking.readingId());
    if (found.isEmpty()) {
      return;
    }
    JournalEntry entry = found.get();
    RecordedReading reading = RecordFormat.reading(entry.payload());
    keep(before(entry));
    TestRecord.Taken taken = new TestRecord.Taken(reading, booking, entry.position());
    booked.put(reading.id(), taken);
    supersession.booked(taken);
    verdicts.derived(testSet.booked(reading, booking));
  }

  /** A reading may be older than the test set: its entry is then looked up, with the one before. */
  private RecordedEntry before(JournalEntry entry) throws JournalException {
    RecordedEntry kept = readings.remove(entry.id());
    if (kept != null) {
      return kept;
    }
    RecordedEntry known = entries.get(entry.position());
    return known != null ? known : RecordedEntry.of(entry, lookup.digestBefore(entry.position()));
  }

  private void verdict(AnyRecord record, RecordedEntry recorded) throws FormatException {
    if (record.testSet().equals(id)) {
      keep(recorded);
      verdicts.recorded(record);
    }
  }

  private void verification(InstrumentEvent event, RecordedEntry recorded) {
    if (closed == null) {
      verifications.add(event);
      verificationEntries.put(event.id(), recorded);
      if (testSet != null) {
        testSet.take(event);
      }
    }
  }

  private void note(Note note, RecordedEntry recorded) {
    if (note.testSet().equals(id)) {
      keep(recorded);
      notes.add(note);
      if (testSet != null && open()) {
        testSet.take(note);
      }
    }
  }

  private void answer(ChecklistAnswer answer, RecordedEntry recorded) {
    if (answer.testSet().equals(id)) {
      keep(recorded);
      answers.add(answer);
      if (testSet != null && open()) {
        testSet.take(answer);
      }
    }
  }

  /** Returns what was collected; nothing if the entries do not open such a test set. */
  public Optional<TestRecord> record() throws FormatException {
    TestSet collected = testSet;
    TestRecord.Head last = head;
    if (collected == null || last == null) {
      return Optional.empty();
    }
    Map<String, String> bookingOfStep = new LinkedHashMap<>();
    Map<String, TestRecord.Taken> takenOfStep = new LinkedHashMap<>();
    for (BookedReading one : collected.current()) {
      bookingOfStep.put(one.step().id(), one.bookingId());
      supersession.current(one.step().id()).ifPresent(t -> takenOfStep.put(one.step().id(), t));
    }
    List<Verdict> counting = verdicts.counting(collected, bookingOfStep);
    List<TestRecord.InstrumentUse> instruments =
        InstrumentUses.of(booked.values(), collected.opened().standings(), verifications);
    instruments.forEach(use -> use.events().forEach(e -> keepVerification(e.id())));
    return Optional.of(
        new TestRecord(
            collected.opened(),
            events,
            Optional.ofNullable(closed),
            steps(collected, takenOfStep, counting),
            counting,
            supersession.superseded(),
            List.copyOf(arrived),
            notes,
            answers,
            collected.checks(),
            gaps,
            instruments,
            verdicts.agreeing(),
            verdicts.differences(),
            List.copyOf(entries.values()),
            journal,
            last));
  }

  private void keepVerification(String event) {
    RecordedEntry entry = verificationEntries.get(event);
    if (entry != null) {
      keep(entry);
    }
  }

  private static List<TestRecord.StepResult> steps(
      TestSet collected, Map<String, TestRecord.Taken> taken, List<Verdict> counting) {
    List<TestRecord.StepResult> results = new ArrayList<>();
    for (Step step : collected.opened().plan().steps()) {
      results.add(
          new TestRecord.StepResult(
              step,
              Optional.ofNullable(taken.get(step.id())),
              counting.stream().filter(v -> v.subject().equals(step.id())).toList(),
              Optional.ofNullable(collected.skipped().get(step.id()))));
    }
    return results;
  }
}
