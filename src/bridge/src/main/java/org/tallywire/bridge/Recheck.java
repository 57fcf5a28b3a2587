package org.tallywire.bridge;

import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.TreeMap;
import java.util.function.Consumer;
import org.tallywire.acceptance.Examiner;
import org.tallywire.acceptance.Verdict;
import org.tallywire.api.Booking;
import org.tallywire.api.RecordedReading;
import org.tallywire.format.AnyRecord;
import org.tallywire.format.FormatException;
import org.tallywire.format.RecordFormat;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.JournalView;
import org.tallywire.testset.OpenTestSets;
import org.tallywire.testset.TestSetEvent;

/**
 * Derives every verdict again from the readings, bookings and test sets before it, and compares. A
 * stream of any length fits: a derived verdict is kept until the recorded one comes by. Verdicts
 * made by another method are counted and not compared. Used by one thread.
 */
final class Recheck {

  /** Records that came earlier. */
  interface Earlier {
    Optional<RecordedReading> reading(String id) throws JournalException, FormatException;

    /** Returns a verdict, where more than the last few can be had. */
    Optional<AnyRecord> verdict(String id) throws JournalException, FormatException;
  }

  /** A verdict derived here, and the booking that led to it. */
  private record Derived(Verdict verdict, String booking) {}

  private final Earlier earlier;
  private final Consumer<String> differing;
  private final OpenTestSets open = new OpenTestSets();

  /** Test sets whose last recorded verdict was made by another method. */
  private final Set<String> byOtherMethod = new HashSet<>();

  private final List<Derived> left = new ArrayList<>();
  private final Window<Derived> pending = new Window<>(Window.COUNT, left::add);
  private final Window<String> compared = new Window<>();
  private final Map<String, Long> otherMethods = new TreeMap<>();
  private long agreeing;
  private long differences;
  private long unjudged;

  /** Test sets whose beginning came by. */
  private final Set<String> begun = new HashSet<>();

  /** Retention has removed what came before. */
  private boolean cut;

  private long cutOff;

  /**
   * Makes one.
   *
   * @param differing hears of every difference, as a sentence
   */
  Recheck(Earlier earlier, Consumer<String> differing) {
    this.earlier = earlier;
    this.differing = differing;
  }

  /** Rechecks a whole journal, up to where it is at the start. */
  static Recheck of(JournalView journal, Consumer<String> differing) throws JournalException {
    Recheck recheck = new Recheck(in(journal), differing);
    recheck.cut = journal.anchor().position() > 0;
    // what was judged after this entry may not be in the part that is walked
    long examined = journal.cursors().getOrDefault(Examination.CURSOR, 0L);
    long last = journal.head();
    JournalWalk.over(
        journal::read,
        last,
        entry -> {
          if (!entry.kind().equals(RecordFormat.BOOKING) || entry.position() <= examined) {
            recheck.take(entry);
          }
        });
    recheck.end();
    return recheck;
  }

  private static Earlier in(JournalView journal) {
    return new Earlier() {
      @Override
      public Optional<RecordedReading> reading(String id) throws JournalException, FormatException {
        Optional<JournalEntry> entry = journal.find(id);
        return entry.isEmpty()
            ? Optional.empty()
            : Optional.of(RecordFormat.reading(entry.get().payload()));
      }

      @Override
      public Optional<AnyRecord> verdict(String id) throws JournalException, FormatException {
        Optional<JournalEntry> entry = journal.find(id);
        return entry.isEmpty()
            ? Optional.empty()
            : Optional.of(AnyRecord.of(entry.get().payload()));
      }
    };
  }

  private void take(JournalEntry entry) throws JournalException {
    try {
      take(AnyRecord.of(entry.payload()));
    } catch (FormatException e) {
      differ(
          "entry %d, %s: cannot be read: %s"
              .formatted(entry.position(), entry.id(), e.getMessage()));
    }
  }

  /**
   * Takes the next record.
   *
   * @throws FormatException if it is not of its kind; nothing has come of it then
   */
  void take(AnyRecord record) throws JournalException, FormatException {
    switch (record.kind()) {
      case RecordFormat.TEST_SET -> testSet(record.testSetEvent());
      case RecordFormat.BOOKING -> booking(record.booking());
      case RecordFormat.VERDICT -> verdict(record);
      case RecordFormat.NOTE -> open.take(record.note());
      case RecordFormat.VERIFICATION -> open.take(record.instrumentEvent());
      default -> {
        // nothing is derived from it
      }
    }
  }

  /** Says what is still missing; to be called once, at the end. */
  void end() throws JournalException {
    left.addAll(pending.all());
    settle();
  }

  /** Returns how many recorded verdicts agree with what was derived. */
  long agreeing() {
    return agreeing;
  }

  long differences() {
    return differences;
  }

  /** Returns how many bookings had no open test set or no reading within reach. */
  long unjudged() {
    return unjudged;
  }

  /** Returns how many verdicts were made by each other method. */
  Map<String, Long> otherMethods() {
    return otherMethods;
  }

  /** Returns how many verdicts belong to test sets whose beginning retention has removed. */
  long cutOff() {
    return cutOff;
  }

  private void testSet(TestSetEvent event) {
    if (event instanceof TestSetEvent.Opened && cut) {
      begun.add(event.testSet());
    }
    open.take(event);
  }

  private void booking(Booking booking) throws JournalException, FormatException {
    Optional<RecordedReading> reading = earlier.reading(booking.readingId());
    if (open.find(booking.testSet()).isEmpty() || reading.isEmpty()) {
      unjudged++;
      return;
    }
    for (Verdict verdict : open.book(reading.get(), booking)) {
      if (!compared.has(verdict.id())) {
        pending.put(verdict.id(), new Derived(verdict, booking.id()), 0);
      }
    }
    settle();
  }

  private void verdict(AnyRecord recorded) throws FormatException {
    if (cut && !begun.contains(recorded.testSet())) {
      cutOff++;
      return;
    }
    if (!recorded.method().equals(Examiner.METHOD)) {
      otherMethod(recorded);
      return;
    }
    Optional<Derived> derived = pending.remove(recorded.id());
    if (derived.isPresent()) {
      byOtherMethod.remove(recorded.testSet());
      compare(recorded, derived.get().verdict());
    } else if (!compared.has(recorded.id())) {
      differ("%s: is recorded and cannot be derived".formatted(recorded.id()));
    }
  }

  private void otherMethod(AnyRecord recorded) {
    otherMethods.merge(recorded.method(), 1L, Long::sum);
    byOtherMethod.add(recorded.testSet());
    List<String> bookings = recorded.bookings();
    for (Derived derived : pending.all()) {
      if (bookings.contains(derived.booking())) {
        pending.remove(derived.verdict().id());
      }
    }
  }

  private void compare(AnyRecord recorded, Verdict verdict) throws FormatException {
    compared.put(verdict.id(), verdict.id(), 0);
    List<String> found =
        recorded.differences("recorded", AnyRecord.of(RecordFormat.write(verdict)), "derived");
    if (found.isEmpty()) {
      agreeing++;
    } else {
      differ(
          "%s: derived now with other figures: %s"
              .formatted(verdict.id(), String.join("; ", found)));
    }
  }

  /** Looks for the recorded verdicts that did not come by where they were to. */
  private void settle() throws JournalException {
    for (Derived one : List.copyOf(left)) {
      Verdict verdict = one.verdict();
      try {
        Optional<AnyRecord> recorded = earlier.verdict(verdict.id());
        if (recorded.isPresent()) {
          compare(recorded.get(), verdict);
        } else if (!byOtherMethod.contains(verdict.testSet())) {
          differ("%s: derived now, not recorded: %s".formatted(verdict.id(), verdict.sentence()));
        }
      } catch (FormatException e) {
        differ("%s: cannot be read: %s".formatted(verdict.id(), e.getMessage()));
      }
    }
    left.clear();
  }

  private void differ(String sentence) {
    differences++;
    differing.accept(sentence);
  }
}
