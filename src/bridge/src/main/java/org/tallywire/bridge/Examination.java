package org.tallywire.bridge;

import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.acceptance.Verdict;
import org.tallywire.api.Booking;
import org.tallywire.api.RecordedReading;
import org.tallywire.api.TimeSource;
import org.tallywire.format.FormatException;
import org.tallywire.format.RecordFormat;
import org.tallywire.journal.Draft;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
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

  private static final Logger log = LoggerFactory.getLogger(Examination.class);
  private static final int BATCH = 64;
  private static final Duration SLICE = Duration.ofMillis(200);
  private static final Duration AFTER_FAILURE = Duration.ofSeconds(1);
  private static final Duration CLOSE_LIMIT = Duration.ofSeconds(4);

  private final Journal journal;
  private final TimeSource time;
  private final Map<String, TestSet> open = new LinkedHashMap<>();
  private final Thread thread = new Thread(this::run, "examiner");

  private volatile boolean closing;
  private long position;

  Examination(Journal journal, TimeSource time) {
    this.journal = journal;
    this.time = time;
  }

  /** Reads the journal up to where the examiner was, then begins to follow it. */
  void start() throws JournalException {
    long reached = journal.cursor(CURSOR);
    while (position < reached) {
      for (JournalEntry entry : journal.read(position, BATCH)) {
        if (entry.position() > reached) {
          break;
        }
        examine(entry); // what comes of it is in the journal already
        position = entry.position();
      }
    }
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
    while (!closing) {
      try {
        if (journal.awaitBeyond(position, SLICE)) {
          follow(journal.read(position, BATCH));
        }
      } catch (JournalException e) {
        log.error("the examiner waits at entry {}: {}", position, e.getMessage());
        pause();
      } catch (InterruptedException e) {
        Thread.currentThread().interrupt();
        return;
      }
    }
  }

  /** Examines some entries; after a failure the same ones are examined again, to the same end. */
  private void follow(List<JournalEntry> entries) throws JournalException {
    List<Draft> drafts = new ArrayList<>();
    long reached = position;
    for (JournalEntry entry : entries) {
      drafts.addAll(examine(entry));
      reached = entry.position();
    }
    if (!drafts.isEmpty()) {
      journal.appendFrom(CURSOR, reached, drafts);
    }
    position = reached;
  }

  private List<Draft> examine(JournalEntry entry) throws JournalException {
    try {
      return switch (entry.kind()) {
        case RecordFormat.TEST_SET -> testSet(RecordFormat.testSetEvent(entry.payload()));
        case RecordFormat.READING -> reading(RecordFormat.reading(entry.payload()));
        case RecordFormat.BOOKING -> booking(RecordFormat.booking(entry.payload()));
        default -> List.of();
      };
    } catch (FormatException e) {
      log.error("entry {} cannot be examined: {}", entry.position(), e.getMessage());
      return List.of();
    }
  }

  private List<Draft> testSet(TestSetEvent event) {
    if (event instanceof TestSetEvent.Opened opened) {
      open.put(opened.testSet(), new TestSet(opened));
    } else {
      open.remove(event.testSet());
    }
    return List.of();
  }

  private List<Draft> reading(RecordedReading recorded) {
    List<Draft> drafts = new ArrayList<>();
    for (TestSet testSet : open.values()) {
      if (testSet.fedBy(recorded.station())) {
        testSet
            .place(recorded, time.now())
            .ifPresent(
                booking ->
                    drafts.add(
                        new Draft(
                            booking.id(),
                            RecordFormat.BOOKING,
                            recorded.station(),
                            RecordFormat.write(booking, recorded.station()))));
      }
    }
    return drafts;
  }

  private List<Draft> booking(Booking booking) throws JournalException, FormatException {
    TestSet testSet = open.get(booking.testSet());
    Optional<JournalEntry> entry = journal.find(booking.readingId());
    if (testSet == null || entry.isEmpty()) {
      log.warn("booking {} has no open test set, or no reading; it is kept", booking.id());
      return List.of();
    }
    RecordedReading recorded = RecordFormat.reading(entry.get().payload());
    List<Draft> drafts = new ArrayList<>();
    for (Verdict verdict : testSet.booked(recorded, booking)) {
      drafts.add(
          new Draft(
              verdict.id(), RecordFormat.VERDICT, verdict.station(), RecordFormat.write(verdict)));
    }
    if (testSet.complete()) {
      drafts.add(draft(testSet.close(time.now())));
    }
    return drafts;
  }

  /** Returns a test set's event as an entry to be. */
  static Draft draft(TestSetEvent event) {
    return new Draft(event.id(), RecordFormat.TEST_SET, event.station(), RecordFormat.write(event));
  }

  private void pause() {
    try {
      Thread.sleep(AFTER_FAILURE.toMillis());
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
      closing = true;
    }
  }
}
