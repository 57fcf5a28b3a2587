package org.tallywire.bridge;

import java.io.IOException;
import java.time.Instant;
import java.util.EnumMap;
import java.util.Map;
import java.util.Optional;
import org.tallywire.acceptance.Verdict;
import org.tallywire.api.Booking;
import org.tallywire.api.RecordedReading;
import org.tallywire.format.AnyRecord;
import org.tallywire.format.FormatException;
import org.tallywire.format.Job;
import org.tallywire.format.RecordFormat;
import org.tallywire.testset.TestSet;
import org.tallywire.testset.TestSetEvent;

/**
 * Judges a stream of records as a bridge would have: the same verdicts, byte for byte, in the same
 * order. If the stream has bookings for the test set, those decide; if not, the readings' labels.
 * Which it is shows when the first booking comes, the {@linkplain Window window} is full or the
 * stream ends; readings wait until then. What comes out depends on what goes in and on nothing
 * else. Used by one thread.
 */
final class Judge {

  /** What decides to which step a reading belongs. */
  enum By {
    /** Bookings if there are some, else labels. */
    EITHER,
    LABELS,
    BOOKINGS
  }

  /** Where records go, each without an end of line. */
  interface Sink {
    void write(byte[] json) throws IOException;
  }

  /** Hears what could not be judged, with the line that is about it. */
  interface Trouble {
    void tell(long line, String sentence);
  }

  /** How much there was of what. */
  static final class Tally {
    long readings;
    long repeats;
    long booked;
    long bookings;
    long troubles;
    long others;
    final Map<Verdict.State, Long> verdicts = new EnumMap<>(Verdict.State.class);

    long verdicts() {
      return verdicts.values().stream().mapToLong(Long::longValue).sum();
    }
  }

  private static final class Known {
    final RecordedReading reading;
    boolean booked;

    /** It came before the test set was opened, and only a booking can bring it in. */
    boolean before;

    Known(RecordedReading reading) {
      this.reading = reading;
    }
  }

  private record Waiting(Booking booking, AnyRecord record, long line) {}

  private final TestSet testSet;
  private final Sink verdicts;
  private final Optional<Sink> bookings;
  private final Trouble trouble;
  private final Tally tally = new Tally();
  private final Window<Known> readings = new Window<>();
  private final Window<Waiting> waiting = new Window<>(Window.COUNT, this::neverRead);
  private final Window<String> seenBookings = new Window<>();
  private final Window<String> written = new Window<>();
  private By by;
  private boolean closed;
  private boolean toldLate;

  /**
   * Makes one.
   *
   * @param bookings where each booking goes before its verdicts, if anywhere
   */
  Judge(Job job, By by, Sink verdicts, Optional<Sink> bookings, Trouble trouble) {
    // the time of opening is in no verdict
    this.testSet = new TestSet(job.opened(Instant.EPOCH));
    this.by = by;
    this.verdicts = verdicts;
    this.bookings = bookings;
    this.trouble = trouble;
  }

  Tally tally() {
    return tally;
  }

  /** Returns what decided in the end. */
  By by() {
    return by;
  }

  /**
   * Takes the next record.
   *
   * @throws FormatException if it is not of its kind; nothing has come of it then
   */
  void take(AnyRecord record, long line) throws FormatException, IOException {
    switch (record.kind()) {
      case RecordFormat.READING -> reading(record, line);
      case RecordFormat.BOOKING -> booking(record, line);
      case RecordFormat.TEST_SET -> testSet(record);
      case RecordFormat.NOTE -> {
        tally.others++;
        if (isMine(record.testSet())) {
          testSet.take(record.note());
        }
      }
      case RecordFormat.VERIFICATION -> {
        tally.others++;
        testSet.take(record.instrumentEvent());
      }
      default -> tally.others++;
    }
  }

  /** Judges what still waits; to be called once, at the end of the stream. */
  void end() throws IOException {
    if (by == By.EITHER) {
      byLabels();
    }
    waiting.all().forEach(this::neverRead);
  }

  private void reading(AnyRecord record, long line) throws FormatException, IOException {
    RecordedReading reading = record.reading();
    tally.readings++;
    Optional<Known> before = readings.find(reading.id());
    if (before.isPresent()) {
      tally.repeats++;
      if (!before.get().reading.reading().saysTheSame(reading.reading())) {
        tally.troubles++;
        trouble.tell(
            line,
            "reading %s came before with other content; the first is kept".formatted(reading.id()));
      }
      return;
    }
    int size = record.json().length;
    if (by == By.EITHER && readings.full(size)) {
      byLabels();
    }
    Known known = new Known(reading);
    readings.put(reading.id(), known, size);
    if (by == By.LABELS) {
      placeByLabels(known);
    }
    Optional<Waiting> early = waiting.remove(reading.id());
    if (early.isPresent()) {
      book(known, early.get().booking(), early.get().record().json());
    }
  }

  private void byLabels() throws IOException {
    by = By.LABELS;
    for (Known known : readings.all()) {
      placeByLabels(known);
    }
  }

  private void placeByLabels(Known known) throws IOException {
    RecordedReading reading = known.reading;
    if (closed || known.before || !testSet.fedBy(reading.station())) {
      return;
    }
    Optional<Booking> booking = testSet.place(reading, reading.reading().receivedAt());
    if (booking.isPresent()) {
      seenBookings.put(booking.get().id(), booking.get().id(), 0);
      book(known, booking.get(), RecordFormat.write(booking.get(), reading.station()));
    }
  }

  private void booking(AnyRecord record, long line) throws FormatException, IOException {
    Booking booking = record.booking();
    if (!isMine(booking.testSet())) {
      tally.others++;
      testSet.left(booking.readingId());
      return;
    }
    tally.bookings++;
    if (seenBookings.has(booking.id())) {
      return; // a repeat, or what the labels said
    }
    seenBookings.put(booking.id(), booking.id(), 0);
    if (closed) {
      unjudged(line, "booking %s comes after the test set was closed".formatted(booking.id()));
    } else if (!booking.step().equals(Booking.NO_STEP)
        && testSet.opened().plan().step(booking.step()).isEmpty()) {
      unjudged(
          line,
          "booking %s is to step %s, which the plan does not have"
              .formatted(booking.id(), booking.step()));
    } else {
      decidedByBookings(line);
      Optional<Known> known = readings.find(booking.readingId());
      if (known.isPresent()) {
        book(known.get(), booking, record.json());
      } else {
        waiting.put(booking.readingId(), new Waiting(booking, record, line), record.json().length);
      }
    }
  }

  private void decidedByBookings(long line) {
    if (by == By.EITHER) {
      by = By.BOOKINGS;
    } else if (by == By.LABELS && !toldLate) {
      toldLate = true;
      tally.troubles++;
      trouble.tell(
          line,
          "the first booking that differs from the labels comes after %d readings were booked by"
                  .formatted(tally.booked)
              + " theirs; it counts from here on. With --by bookings only bookings count");
    }
  }

  private void neverRead(Waiting booking) {
    unjudged(
        booking.line(),
        "booking %s names reading %s, which is neither among the last %d readings before it nor came"
                .formatted(booking.booking().id(), booking.booking().readingId(), Window.COUNT)
            + " soon after it");
  }

  private void unjudged(long line, String sentence) {
    tally.troubles++;
    trouble.tell(line, sentence + "; it is not judged");
  }

  private void testSet(AnyRecord record) throws FormatException, IOException {
    TestSetEvent event = record.testSetEvent();
    tally.others++;
    if (!isMine(event.testSet())) {
      return;
    }
    if (event instanceof TestSetEvent.During during) {
      testSet.take(during);
    } else if (event instanceof TestSetEvent.Closed) {
      if (by == By.EITHER) {
        byLabels();
      }
      closed = true;
    } else if (event instanceof TestSetEvent.Opened opened) {
      readings.all().forEach(known -> known.before = true);
      testSet.know(opened.standings());
    }
  }

  private boolean isMine(String id) {
    return id.equals(testSet.opened().testSet());
  }

  private void book(Known known, Booking booking, byte[] json) throws IOException {
    if (!known.booked) {
      known.booked = true;
      tally.booked++;
    }
    if (bookings.isPresent()) {
      bookings.get().write(json);
    }
    for (Verdict verdict : testSet.booked(known.reading, booking)) {
      if (!written.has(verdict.id())) {
        written.put(verdict.id(), verdict.id(), 0);
        tally.verdicts.merge(verdict.state(), 1L, Long::sum);
        verdicts.write(RecordFormat.write(verdict));
      }
    }
  }
}
