package org.tallywire.bridge;

import java.nio.file.Path;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import org.tallywire.acceptance.Step;
import org.tallywire.api.Booking;
import org.tallywire.api.RecordedReading;
import org.tallywire.format.AnyRecord;
import org.tallywire.format.FormatException;
import org.tallywire.format.RecordFormat;
import org.tallywire.journal.Draft;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalEntry;
import org.tallywire.journal.JournalException;
import org.tallywire.testset.Checklist;
import org.tallywire.testset.ChecklistAnswer;
import org.tallywire.testset.InstrumentEvent;
import org.tallywire.testset.Note;
import org.tallywire.testset.OpenTestSets;
import org.tallywire.testset.TestSet;
import org.tallywire.testset.TestSetEvent;

/**
 * Decides whether a record that a person left may go into the journal, and completes it with what
 * the bridge alone knows. Used by the examiner's thread.
 */
final class Admission {

  /** It may not; the message is the sentence for the person. */
  private static final class NotAdmitted extends Exception {
    private static final long serialVersionUID = 1L;

    NotAdmitted(String sentence) {
      super(sentence);
    }
  }

  /** A record that may be written, and the file it was left in. */
  record Admitted(Path file, Draft draft) {}

  private final Journal journal;
  private final Inbox inbox;
  private final OpenTestSets open;
  private final Set<String> stations;

  /** Makes one that knows what is open now, and which stations the bridge has. */
  Admission(Journal journal, Inbox inbox, OpenTestSets open, Set<String> stations) {
    this.journal = journal;
    this.inbox = inbox;
    this.open = open;
    this.stations = stations;
  }

  /** Returns the record that was left first; nothing if there is none, or it is refused. */
  Optional<Admitted> next() throws JournalException {
    Optional<Path> file = inbox.next();
    Optional<byte[]> payload = file.flatMap(inbox::read);
    if (payload.isEmpty()) {
      return Optional.empty();
    }
    try {
      return Optional.of(new Admitted(file.orElseThrow(), admit(payload.get())));
    } catch (NotAdmitted e) {
      inbox.refuse(file.orElseThrow(), String.valueOf(e.getMessage()));
      return Optional.empty();
    }
  }

  /** Hears that a record is in the journal. */
  void done(Admitted admitted) {
    inbox.taken(admitted.file());
  }

  /** Returns what is to be written for a record that was left. */
  private Draft admit(byte[] payload) throws NotAdmitted, JournalException {
    try {
      AnyRecord record = AnyRecord.of(payload);
      return switch (record.kind()) {
        case RecordFormat.TEST_SET -> admit(record.testSetEvent());
        case RecordFormat.BOOKING -> admit(record.booking());
        case RecordFormat.NOTE -> admit(record.note());
        case RecordFormat.CHECKLIST -> admit(record.checklistAnswer());
        case RecordFormat.VERIFICATION -> admit(record.instrumentEvent());
        default ->
            throw new NotAdmitted("A person writes no records of kind " + record.kind() + ".");
      };
    } catch (FormatException e) {
      throw new NotAdmitted("A record cannot be read: " + e.getMessage());
    }
  }

  private Draft admit(TestSetEvent event) throws NotAdmitted, JournalException, FormatException {
    named(event.by());
    if (event instanceof TestSetEvent.Opened opened) {
      return Drafts.of(admit(opened));
    }
    TestSet testSet = open(event.testSet());
    if (event instanceof TestSetEvent.Closed closed) {
      return Drafts.of(admit(closed, testSet));
    }
    TestSetEvent.During during = (TestSetEvent.During) event;
    if (during.step().isPresent()) {
      step(testSet, during.step().get());
    }
    require(
        during instanceof TestSetEvent.Resumed || !during.reason().isBlank(), "Say why: --reason.");
    if (during instanceof TestSetEvent.Paused) {
      require(!testSet.paused(), "Test set %s is paused already.".formatted(event.testSet()));
    } else if (during instanceof TestSetEvent.Resumed) {
      require(testSet.paused(), "Test set %s is not paused.".formatted(event.testSet()));
    } else if (during instanceof TestSetEvent.Skipped skipped) {
      require(
          testSet.current().stream().noneMatch(r -> r.step().id().equals(skipped.skipped())),
          "Step %s has a reading. To take it out, book that reading to no step."
              .formatted(skipped.skipped()));
    } else if (during instanceof TestSetEvent.Repeat repeat) {
      require(
          testSet.current().stream().anyMatch(r -> r.step().id().equals(repeat.repeated())),
          "Step %s has no reading yet, so there is nothing to repeat."
              .formatted(repeat.repeated()));
    }
    return Drafts.of(event);
  }

  private TestSetEvent.Opened admit(TestSetEvent.Opened opened)
      throws NotAdmitted, JournalException, FormatException {
    require(
        !journal.knows(opened.id()),
        "Test set %s is in the journal already; a new campaign needs a new id."
            .formatted(opened.testSet()));
    for (String station : opened.stations()) {
      require(
          stations.contains(station),
          "This bridge has no station %s; it has %s."
              .formatted(station, String.join(", ", stations)));
      List<TestSet> fed = open.fedBy(station);
      require(
          fed.isEmpty(),
          "Station %s feeds test set %s, which is open; close that first."
              .formatted(station, fed.isEmpty() ? "" : fed.get(0).opened().testSet()));
    }
    return opened.with(Standings.of(journal::read));
  }

  private static TestSetEvent.Closed admit(TestSetEvent.Closed wanted, TestSet testSet)
      throws NotAdmitted {
    TestSetEvent.Closed closed = testSet.close(wanted.at(), wanted.by(), wanted.reason());
    List<String> left =
        closed.open().stream().filter(step -> !testSet.skipped().containsKey(step)).toList();
    require(
        left.isEmpty() || !wanted.reason().isBlank(),
        "Steps without a reading: %s. Take them, skip them, or say why it is closed: --reason."
            .formatted(some(left)));
    List<String> unanswered =
        testSet.checks().override(Checklist.Moment.AFTER).isPresent()
            ? List.of()
            : testSet.checks().open(Checklist.Moment.AFTER).stream()
                .map(Checklist.Item::id)
                .toList();
    require(
        unanswered.isEmpty() || !wanted.reason().isBlank(),
        ("Of the list for afterwards these are not answered with yes: %s. Answer them, or say why it"
                + " is closed: --reason.")
            .formatted(some(unanswered)));
    return closed;
  }

  private static String some(List<String> ids) {
    int shown = Math.min(8, ids.size());
    return String.join(", ", ids.subList(0, shown))
        + (ids.size() > shown ? " and %d more".formatted(ids.size() - shown) : "");
  }

  private Draft admit(Booking booking) throws NotAdmitted, JournalException, FormatException {
    named(booking.by());
    TestSet testSet = open(booking.testSet());
    Optional<JournalEntry> entry = journal.find(booking.readingId());
    if (entry.isEmpty() || !entry.get().kind().equals(RecordFormat.READING)) {
      throw new NotAdmitted("The journal has no reading %s.".formatted(booking.readingId()));
    }
    if (!booking.step().equals(Booking.NO_STEP)) {
      step(testSet, booking.step());
    }
    require(booking.reason().isPresent(), "Say why it is booked there: --reason.");
    Optional<String> hindrance = testSet.checks().hindrance(Checklist.Moment.BEFORE);
    if (hindrance.isPresent()) {
      throw new NotAdmitted(hindrance.get() + " Answer it first.");
    }
    RecordedReading reading = RecordFormat.reading(entry.get().payload());
    return Drafts.of(booking, reading.station());
  }

  private Draft admit(Note note) throws NotAdmitted, JournalException {
    named(note.by());
    require(
        journal.find(TestSetEvent.openedId(note.testSet())).isPresent(),
        "The journal knows no test set %s.".formatted(note.testSet()));
    Optional<TestSet> testSet = open.find(note.testSet());
    if (testSet.isPresent() && note.step().isPresent()) {
      step(testSet.get(), note.step().get());
    }
    return Drafts.of(note);
  }

  private Draft admit(ChecklistAnswer answer) throws NotAdmitted {
    named(answer.by());
    TestSet testSet = open(answer.testSet());
    Optional<Checklist> list = testSet.opened().terms().checklist(answer.moment());
    if (list.isEmpty()) {
      throw new NotAdmitted(
          "Test set %s has no list for \"%s\"."
              .formatted(answer.testSet(), answer.moment().word()));
    }
    for (ChecklistAnswer.Answer one : answer.answers()) {
      require(
          list.get().item(one.item()).isPresent(),
          "List \"%s\" has no item %s; it has %s."
              .formatted(
                  list.get().name(),
                  one.item(),
                  String.join(", ", list.get().items().stream().map(Checklist.Item::id).toList())));
    }
    return Drafts.of(answer);
  }

  private static Draft admit(InstrumentEvent event) throws NotAdmitted {
    named(event.by());
    require(
        event.instrument().identified(),
        "The instrument has no serial number, so nothing can be said of it later.");
    return Drafts.of(event);
  }

  private TestSet open(String id) throws NotAdmitted {
    return open.find(id)
        .orElseThrow(
            () -> new NotAdmitted("Test set %s is not open; open are: %s.".formatted(id, ids())));
  }

  private String ids() {
    List<String> ids = open.all().stream().map(testSet -> testSet.opened().testSet()).toList();
    return ids.isEmpty() ? "none" : String.join(", ", ids);
  }

  private static void step(TestSet testSet, String id) throws NotAdmitted {
    if (testSet.opened().plan().step(id).isEmpty()) {
      List<String> steps = testSet.opened().plan().steps().stream().map(Step::id).toList();
      throw new NotAdmitted("The plan has no step %s; it has %s.".formatted(id, some(steps)));
    }
  }

  private static void named(String by) throws NotAdmitted {
    require(!by.isBlank(), "Say who does it: --by NAME.");
  }

  private static void require(boolean holds, String sentence) throws NotAdmitted {
    if (!holds) {
      throw new NotAdmitted(sentence);
    }
  }
}
