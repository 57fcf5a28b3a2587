package org.tallywire.bridge;

import java.time.Duration;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.api.Booking;
import org.tallywire.api.RecordedReading;
import org.tallywire.api.TimeSource;
import org.tallywire.format.FormatException;
import org.tallywire.format.RecordFormat;
import org.tallywire.format.StateRecord.Concern;
import org.tallywire.journal.Draft;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
import org.tallywire.testset.OpenTestSets;
import org.tallywire.testset.TestSet;
import org.tallywire.testset.TestSetEvent;

/**
 * Follows the journal and lets the examiner judge: books each reading to the step that its labels
 * name, adds the verdicts that follow, closes a test set when every step has its reading. What it
 * finds is committed together with its place in the journal, so a crash can neither lose nor double
 * it. One thread, "examiner".
 */
final class Examination implements AutoCloseable {

  static final String CURSOR = "examiner";

  /** Every open test set begins behind it, so the next start reads from there on. */
  static final String BEGIN = "oldest open test set";

  private static final Logger log = LoggerFactory.getLogger(Examination.class);
  private static final int BATCH = 64;
  private static final Duration SLICE = Duration.ofMillis(200);
  private static final Duration AFTER_FAILURE = Duration.ofSeconds(1);
  private static final Duration CLOSE_LIMIT = Duration.ofSeconds(4);

  /** How long its places in the journal may lag behind where they really are. */
  private static final Duration CURSOR_LAG = Duration.ofMinutes(1);

  /** How many entries too many the next start may read after a crash. */
  private static final int BEGIN_LAG = 1_000;

  private final Journal journal;
  private final TimeSource time;
  private final StateBoard board;
  private final Admission admission;
  private final OpenTestSets open = new OpenTestSets();
  private final Map<String, Long> openedAt = new HashMap<>();
  private final Window<JournalEntry> lately = new Window<>();
  private final Thread thread = new Thread(this::run, "examiner");

  private volatile boolean closing;
  private volatile long doneWith;
  private long position;
  private long saved;
  private long savedAt;
  private long savedBegin;

  /** What is examined once more only says which test sets are open. */
  private boolean again;

  Examination(
      Journal journal, Inbox inbox, Set<String> stations, TimeSource time, StateBoard board) {
    this.journal = journal;
    this.admission = new Admission(journal, inbox, open, stations);
    this.time = time;
    this.board = board;
  }

  /**
   * Reads the journal from the oldest open test set up to where the examiner was, then examines
   * what has come since; to be called before {@link #start}.
   */
  void catchUp() throws JournalException {
    long reached = journal.cursor(CURSOR);
    savedBegin = journal.cursor(BEGIN);
    position = Math.max(journal.anchor().position(), savedBegin);
    saved = reached;
    savedAt = time.nanos();
    List<JournalEntry> unexamined = bookingsAfter(reached);
    while (position < journal.head()) {
      again = position < reached; // what comes of it is in the journal already
      if (!again) {
        unexamined.forEach(this::expect);
        unexamined = List.of();
      }
      Findings findings = examine(read(again ? reached : Long.MAX_VALUE));
      if (!again && !findings.drafts().isEmpty()) {
        journal.appendFrom(CURSOR, findings.reached(), findings.drafts());
        saved = findings.reached();
      }
      reach(findings.reached());
    }
    again = false;
  }

  private List<JournalEntry> bookingsAfter(long reached) throws JournalException {
    List<JournalEntry> bookings = new ArrayList<>();
    long after = reached;
    for (List<JournalEntry> page = journal.read(after, BATCH); !page.isEmpty(); ) {
      page.stream().filter(entry -> isBooking(entry)).forEach(bookings::add);
      after = page.get(page.size() - 1).position();
      page = journal.read(after, BATCH);
    }
    return bookings;
  }

  private static boolean isBooking(JournalEntry entry) {
    return entry.kind().equals(RecordFormat.BOOKING);
  }

  /** Lets a test set know of a booking that stands behind readings which are yet to be placed. */
  private void expect(JournalEntry entry) {
    try {
      Booking booking = RecordFormat.booking(entry.payload());
      open.find(booking.testSet()).ifPresent(testSet -> testSet.expect(booking));
    } catch (FormatException e) {
      log.debug("entry {} cannot be read: {}", entry.position(), e.getMessage());
    }
  }

  /**
   * Returns the last position whose entries nobody needs for judging any more: all of it is before
   * every test set that is open. May be called from any thread.
   */
  long doneWith() {
    return doneWith;
  }

  private void reach(long reached) {
    position = reached;
    doneWith = openedAt.values().stream().mapToLong(at -> at - 1).reduce(reached, Math::min);
  }

  /** Returns the test sets that are open; to be called between {@link #catchUp} and start. */
  List<TestSet> openTestSets() {
    return List.copyOf(open.all());
  }

  /** Begins to follow the journal. */
  void start() {
    thread.start();
  }

  @Override
  public void close() {
    closing = true;
    try {
      thread.join(CLOSE_LIMIT.toMillis());
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }

  private void run() {
    try {
      keepBegin();
      while (!closing) {
        if (journal.awaitBeyond(position, SLICE)) {
          follow();
        } else if (time.nanos() - savedAt >= CURSOR_LAG.toNanos()) {
          save();
        }
        admit();
      }
      save();
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    } catch (RuntimeException | Error e) {
      log.error("judging ended at entry {} by a fault of ours", position, e);
      board.trouble(
          Concern.JUDGING, "Judging has ended by a fault of ours; restart the bridge: " + e);
    }
  }

  /** Some entries, and the readings that the bookings among them name. */
  private record Read(List<JournalEntry> entries, Map<String, JournalEntry> readings) {}

  /** What comes of some entries, and the last of them. */
  private record Findings(List<Draft> drafts, long reached) {}

  /**
   * Examines the next entries and commits what comes of it. What was found is kept until it is
   * committed: examining the same entries again would start from a later state of the test sets.
   */
  private void follow() throws InterruptedException {
    Optional<Read> next = untilItWorks(() -> read(Long.MAX_VALUE));
    if (next.isEmpty()) {
      return;
    }
    Findings findings = examine(next.get());
    if (!findings.drafts().isEmpty()) {
      untilItWorks(() -> journal.appendFrom(CURSOR, findings.reached(), findings.drafts()));
      saved = findings.reached();
      savedAt = time.nanos();
    }
    reach(findings.reached());
    keepBegin();
  }

  /**
   * Takes the next record that a person left, once all that came before it is examined, so that it
   * is held against what is so now.
   */
  private void admit() throws InterruptedException {
    if (position < journal.head()) {
      return;
    }
    Optional<Admission.Admitted> next = untilItWorks(admission::next).flatMap(admitted -> admitted);
    if (next.isPresent()) {
      List<Draft> drafts = List.of(next.get().draft());
      untilItWorks(() -> journal.append(drafts, List.of()))
          .ifPresent(appended -> admission.done(next.get()));
    }
  }

  private void keepBegin() {
    if (doneWith - savedBegin >= BEGIN_LAG) {
      save();
    }
  }

  /**
   * Remembers how far it is where nothing came of the last entries, since retention waits for that,
   * and where the next start has to begin, which is never beyond.
   */
  private void save() {
    savedAt = time.nanos();
    try {
      if (saved < position) {
        journal.moveCursor(CURSOR, position);
        saved = position;
      }
      if (savedBegin < doneWith) {
        journal.moveCursor(BEGIN, doneWith);
        savedBegin = doneWith;
      }
    } catch (JournalException e) {
      log.debug("the examiner's places, entry {}, are not kept yet: {}", position, e.getMessage());
    }
  }

  /** Reads all that examining the next entries needs, those up to the given one. */
  private Read read(long last) throws JournalException {
    List<JournalEntry> entries = new ArrayList<>();
    Map<String, JournalEntry> readings = new HashMap<>();
    for (JournalEntry entry : journal.read(position, BATCH)) {
      if (entry.position() > last) {
        break;
      }
      entries.add(entry);
      if (entry.kind().equals(RecordFormat.READING)) {
        lately.put(entry.id(), entry, entry.payload().length);
      } else if (isBooking(entry)) {
        Optional<String> id = readingOf(entry);
        if (id.isPresent()) {
          find(id.get()).ifPresent(reading -> readings.put(id.get(), reading));
        }
      }
    }
    return new Read(entries, readings);
  }

  /** Most bookings are of a reading that was read a moment ago. */
  private Optional<JournalEntry> find(String reading) throws JournalException {
    Optional<JournalEntry> known = lately.find(reading);
    return known.isPresent() ? known : journal.find(reading);
  }

  private static Optional<String> readingOf(JournalEntry booking) {
    try {
      return Optional.of(RecordFormat.booking(booking.payload()).readingId());
    } catch (FormatException e) {
      return Optional.empty(); // told when it is examined
    }
  }

  /** Something to do with the journal. */
  private interface Work<T> {
    T run() throws JournalException;
  }

  /** Tries until it works or the bridge is closed, and says meanwhile that judging waits. */
  private <T> Optional<T> untilItWorks(Work<T> work) throws InterruptedException {
    boolean waited = false;
    while (!closing) {
      try {
        T result = work.run();
        if (waited) {
          log.info("judging goes on at entry {}", position);
          board.trouble(Concern.JUDGING, "");
        }
        return Optional.of(result);
      } catch (JournalException e) {
        if (!waited) {
          log.error("judging waits at entry {}: {}", position, e.getMessage());
          board.trouble(Concern.JUDGING, "Judging waits: " + e.getMessage());
        }
        waited = true;
        Thread.sleep(AFTER_FAILURE.toMillis());
      }
    }
    return Optional.empty();
  }

  private Findings examine(Read read) {
    List<Draft> drafts = new ArrayList<>();
    long reached = position;
    for (JournalEntry entry : read.entries()) {
      drafts.addAll(examine(entry, read.readings()));
      reached = entry.position();
    }
    for (TestSet testSet : open.all()) {
      if (testSet.opened().by().isEmpty() && testSet.complete()) {
        drafts.add(Drafts.of(testSet.close(time.now())));
      }
    }
    return new Findings(drafts, reached);
  }

  private List<Draft> examine(JournalEntry entry, Map<String, JournalEntry> readings) {
    try {
      return switch (entry.kind()) {
        case RecordFormat.READING ->
            // booked already, if it was to be
            again ? List.of() : reading(RecordFormat.reading(entry.payload()));
        case RecordFormat.BOOKING -> booking(RecordFormat.booking(entry.payload()), readings);
        case RecordFormat.TEST_SET ->
            testSet(RecordFormat.testSetEvent(entry.payload()), entry.position());
        default -> {
          KnownTestSets.takeBeside(open, entry);
          yield List.of();
        }
      };
    } catch (FormatException e) {
      log.error(
          "entry {} cannot be examined and is passed over: {}", entry.position(), e.getMessage());
      return List.of();
    }
  }

  private List<Draft> testSet(TestSetEvent event, long at) {
    open.take(event);
    if (event instanceof TestSetEvent.Opened) {
      openedAt.put(event.testSet(), at);
    } else if (event instanceof TestSetEvent.Closed) {
      openedAt.remove(event.testSet());
    }
    return List.of();
  }

  private List<Draft> reading(RecordedReading recorded) {
    List<Draft> drafts = new ArrayList<>();
    for (TestSet testSet : open.fedBy(recorded.station())) {
      testSet
          .place(recorded, time.now())
          .ifPresent(booking -> drafts.add(Drafts.of(booking, recorded.station())));
    }
    return drafts;
  }

  private List<Draft> booking(Booking booking, Map<String, JournalEntry> readings)
      throws FormatException {
    JournalEntry entry = readings.get(booking.readingId());
    if (open.find(booking.testSet()).isEmpty() || entry == null) {
      if (!again) {
        log.warn("booking {} has no open test set, or no reading; it is kept", booking.id());
      }
      return List.of();
    }
    return open.book(RecordFormat.reading(entry.payload()), booking).stream()
        .map(Drafts::of)
        .toList();
  }
}
