package org.tallywire.report;

import java.time.Instant;
import java.util.List;
import java.util.Optional;
import org.tallywire.acceptance.Step;
import org.tallywire.acceptance.Verdict;
import org.tallywire.api.Booking;
import org.tallywire.api.ClockQuality;
import org.tallywire.api.Gap;
import org.tallywire.api.RecordedReading;
import org.tallywire.testset.Checklist;
import org.tallywire.testset.ChecklistAnswer;
import org.tallywire.testset.Checks;
import org.tallywire.testset.InstrumentEvent;
import org.tallywire.testset.InstrumentStanding;
import org.tallywire.testset.Note;
import org.tallywire.testset.TestSetEvent;

/**
 * Everything that a journal holds of one test set, up to its last entry at the time of collecting.
 *
 * @param opened how it began
 * @param events what happened while it was open, in order
 * @param closed how it ended, if it did
 * @param steps of its plan, each with what came of it, in the plan's order
 * @param verdicts that count, as they were recorded: of steps and of comparisons
 * @param superseded readings that were booked to a step and do not count any more
 * @param unbooked ids of readings that its stations took while it was open and that no booking ever
 *     named
 * @param answers to its checklists, in order
 * @param checks how the answers stand
 * @param gaps readings of its stations that are known to be missing, while it was open
 * @param instruments that took its readings
 * @param derivedAgain how many recorded verdicts were derived again and agree in every figure
 * @param differences a sentence for each verdict that was not, or differs
 * @param entries of the journal that all this rests on, in order
 * @param journal identity of the journal
 * @param head the journal's last entry at that time
 */
public record TestRecord(
    TestSetEvent.Opened opened,
    List<TestSetEvent.During> events,
    Optional<TestSetEvent.Closed> closed,
    List<StepResult> steps,
    List<Verdict> verdicts,
    List<Superseded> superseded,
    List<String> unbooked,
    List<Note> notes,
    List<ChecklistAnswer> answers,
    Checks checks,
    List<Gap> gaps,
    List<InstrumentUse> instruments,
    int derivedAgain,
    List<String> differences,
    List<RecordedEntry> entries,
    String journal,
    Head head) {

  public TestRecord {
    events = List.copyOf(events);
    steps = List.copyOf(steps);
    verdicts = List.copyOf(verdicts);
    superseded = List.copyOf(superseded);
    unbooked = List.copyOf(unbooked);
    notes = List.copyOf(notes);
    answers = List.copyOf(answers);
    gaps = List.copyOf(gaps);
    instruments = List.copyOf(instruments);
    differences = List.copyOf(differences);
    entries = List.copyOf(entries);
  }

  /**
   * A step of the plan and what came of it.
   *
   * @param taken its reading, if it has one
   * @param verdicts on it, of its reading
   * @param skipped why it is left out, if it is
   */
  public record StepResult(
      Step step,
      Optional<Taken> taken,
      List<Verdict> verdicts,
      Optional<TestSetEvent.Skipped> skipped) {

    public StepResult {
      verdicts = List.copyOf(verdicts);
    }
  }

  /**
   * A reading, its booking, and where it stands in the journal.
   *
   * @param entry its position
   */
  public record Taken(RecordedReading recorded, Booking booking, long entry) {}

  /**
   * A reading that counted once.
   *
   * @param reason why it does not any more, as a sentence
   */
  public record Superseded(Taken taken, String reason) {}

  /**
   * An instrument and how right it was.
   *
   * @param station where it was read
   * @param readings how many of the readings that were ever booked are its
   * @param clock how good its clock was, the best that it claimed
   * @param standing up to the end of the test set
   * @param events its verifications and calibrations that are recorded up to then
   */
  public record InstrumentUse(
      InstrumentStanding standing,
      String station,
      String driver,
      int readings,
      ClockQuality clock,
      List<InstrumentEvent> events) {

    public InstrumentUse {
      events = List.copyOf(events);
    }
  }

  /**
   * The last entry of a journal.
   *
   * @param digest 64 hexadecimal digits
   * @param writtenAt when the journal wrote it
   */
  public record Head(long position, String digest, Instant writtenAt) {
    @Override
    public String toString() {
      return position + ":" + digest;
    }
  }

  /** Returns the verdicts in some states. */
  public List<Verdict> in(Verdict.State... states) {
    List<Verdict.State> wanted = List.of(states);
    return verdicts.stream().filter(verdict -> wanted.contains(verdict.state())).toList();
  }

  /** Returns the reading of a step, if it has one. */
  Optional<Taken> taken(String step) {
    return steps.stream()
        .filter(result -> result.step().id().equals(step))
        .flatMap(result -> result.taken().stream())
        .findFirst();
  }

  /** Returns a sentence for everything that is not done; none if the record is complete. */
  public List<String> missing() {
    return Missing.of(this);
  }

  /** Returns the items of a checklist that are not answered with yes or as not applicable. */
  List<Checklist.Item> open(Checklist.Moment moment) {
    return checks.open(moment);
  }
}
