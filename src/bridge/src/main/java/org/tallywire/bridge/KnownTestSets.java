package org.tallywire.bridge;

import java.util.Collection;
import java.util.Collections;
import java.util.LinkedHashMap;
import java.util.Map;
import java.util.Optional;
import org.tallywire.api.Booking;
import org.tallywire.format.FormatException;
import org.tallywire.format.RecordFormat;
import org.tallywire.format.SetupException;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
import org.tallywire.testset.OpenTestSets;
import org.tallywire.testset.TestSet;
import org.tallywire.testset.TestSetEvent;

/** The test sets that a journal knows, open and closed, as its entries make them. One thread. */
final class KnownTestSets {

  /** Finds an entry of the journal. */
  interface Finder {
    Optional<JournalEntry> find(String id) throws JournalException;
  }

  /**
   * A test set.
   *
   * @param closed how it was closed, if it was
   */
  record Known(TestSet testSet, Optional<TestSetEvent.Closed> closed) {}

  private final Finder journal;
  private final OpenTestSets open = new OpenTestSets();
  private final Map<String, Known> known = new LinkedHashMap<>();

  /** Makes one that knows none yet. */
  KnownTestSets(Finder journal) {
    this.journal = journal;
  }

  /** Returns those of a whole journal. */
  static KnownTestSets of(JournalWalk.Pages pages, Finder journal)
      throws JournalException, FormatException {
    KnownTestSets all = new KnownTestSets(journal);
    JournalWalk.<FormatException>over(pages, all::take);
    return all;
  }

  /** Takes the next entry. */
  void take(JournalEntry entry) throws JournalException, FormatException {
    switch (entry.kind()) {
      case RecordFormat.TEST_SET -> event(RecordFormat.testSetEvent(entry.payload()));
      case RecordFormat.BOOKING -> booking(RecordFormat.booking(entry.payload()));
      case RecordFormat.CHECKLIST -> open.take(RecordFormat.checklistAnswer(entry.payload()));
      case RecordFormat.NOTE -> open.take(RecordFormat.note(entry.payload()));
      case RecordFormat.VERIFICATION -> open.take(RecordFormat.instrumentEvent(entry.payload()));
      default -> {
        // says nothing about a test set
      }
    }
  }

  private void event(TestSetEvent event) {
    if (event instanceof TestSetEvent.Closed closed) {
      known.computeIfPresent(
          event.testSet(), (id, one) -> new Known(one.testSet(), Optional.of(closed)));
    }
    open.take(event);
    open.find(event.testSet())
        .ifPresent(testSet -> known.put(event.testSet(), new Known(testSet, Optional.empty())));
  }

  private void booking(Booking booking) throws JournalException, FormatException {
    Optional<JournalEntry> reading = journal.find(booking.readingId());
    if (reading.isPresent()) {
      open.book(RecordFormat.reading(reading.get().payload()), booking);
    }
  }

  /**
   * Returns one.
   *
   * @throws SetupException if there is none of that id
   */
  Known find(String id) throws SetupException {
    Known found = known.get(id);
    if (found == null) {
      throw new SetupException(
          "the journal knows no test set \"%s\"; it knows %s"
              .formatted(id, known.isEmpty() ? "none" : String.join(", ", known.keySet())));
    }
    return found;
  }

  /** Returns all, the one opened first in front. */
  Collection<Known> all() {
    return Collections.unmodifiableCollection(known.values());
  }
}
