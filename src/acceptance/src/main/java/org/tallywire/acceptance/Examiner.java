package org.tallywire.acceptance;

import java.util.ArrayList;
import java.util.Collection;
import java.util.Comparator;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.tallywire.acceptance.Criterion.ExcitationPattern;
import org.tallywire.acceptance.Criterion.PhaseDisplacement;
import org.tallywire.acceptance.Criterion.RatioDeviation;
import org.tallywire.acceptance.Criterion.ResistanceDeviation;
import org.tallywire.acceptance.Criterion.ResistanceUnbalance;
import org.tallywire.acceptance.Question.Answer;
import org.tallywire.acceptance.Verdict.TableReference;
import org.tallywire.api.RecordId;

/**
 * Judges the readings of one test set. Pure: same inputs, same verdicts; no clock, no file, no log.
 * Safe for use by several threads.
 *
 * <p>A turns-ratio reading gives {@code ratio-deviation} and {@code phase-displacement}, and with
 * all three phases of its tap {@code excitation-pattern}; a winding-resistance reading gives {@code
 * resistance-deviation} where there is a reference, and with all three phases {@code
 * resistance-unbalance}. A criterion that the table does not have is not judged. A reading that
 * cannot be judged makes an undecided verdict that says why and what to do; no reading makes this
 * throw.
 */
public final class Examiner {

  /** Version of this computation; it changes whenever the same inputs give another verdict. */
  static final String METHOD = "1";

  private static final Comparator<BookedReading> BY_ARRIVAL =
      Comparator.comparing(BookedReading::receivedAt).thenComparing(BookedReading::id);

  private final String testSet;
  private final Nameplate nameplate;
  private final CriteriaTable table;
  private final Correction correction;

  /** Makes an examiner of one test set. */
  public Examiner(String testSet, Nameplate nameplate, CriteriaTable table) {
    this.testSet = testSet;
    this.nameplate = nameplate;
    this.table = table;
    this.correction = new Correction(nameplate);
  }

  /**
   * Returns the verdicts that the newest reading makes possible: its own, and those of every
   * comparison that it completes or changes.
   *
   * @param newest a reading just booked
   * @param current the last reading of every step so far, the newest included
   */
  public List<Verdict> examine(BookedReading newest, Collection<BookedReading> current) {
    Map<String, BookedReading> bySteps = new LinkedHashMap<>();
    current.forEach(booked -> bySteps.put(booked.step().id(), booked));
    bySteps.put(newest.step().id(), newest);
    List<BookedReading> last = List.copyOf(bySteps.values());
    List<Answer> answers =
        switch (newest.step().test()) {
          case Step.TURNS_RATIO -> ratio(newest, last);
          case Step.WINDING_RESISTANCE -> resistance(newest, last);
          default -> List.of();
        };
    return answers.stream().map(this::verdict).toList();
  }

  private List<Answer> ratio(BookedReading newest, List<BookedReading> last) {
    List<Answer> answers = new ArrayList<>();
    table
        .criterion(RatioDeviation.class)
        .flatMap(
            criterion ->
                newest
                    .step()
                    .expected()
                    .map(e -> new RatioCheck(criterion, nameplate).examine(newest, e)))
        .ifPresent(answers::add);
    table
        .criterion(PhaseDisplacement.class)
        .map(criterion -> new PhaseCheck(criterion).examine(newest))
        .ifPresent(answers::add);
    excitation(newest, last).ifPresent(answers::add);
    return answers;
  }

  private List<Answer> resistance(BookedReading newest, List<BookedReading> last) {
    List<Answer> answers = new ArrayList<>();
    table
        .criterion(ResistanceDeviation.class)
        .flatMap(
            criterion ->
                newest
                    .step()
                    .expected()
                    .map(e -> new ResistanceCheck(criterion, correction).examine(newest, e)))
        .ifPresent(answers::add);
    table
        .criterion(ResistanceUnbalance.class)
        .flatMap(
            criterion ->
                phases(newest, last)
                    .map(three -> new UnbalanceCheck(criterion, correction).examine(three)))
        .ifPresent(answers::add);
    // a direct-current reading booked late may turn out to have come before excitation currents
    last.stream()
        .filter(b -> b.step().test().equals(Step.TURNS_RATIO) && b.step().phase().equals("A"))
        .flatMap(b -> excitation(b, last).stream())
        .filter(answer -> answer.question().inputs().contains(newest))
        .forEach(answers::add);
    return answers;
  }

  private Optional<Answer> excitation(BookedReading one, List<BookedReading> last) {
    return table
        .criterion(ExcitationPattern.class)
        .flatMap(
            criterion ->
                phases(one, last)
                    .map(
                        three ->
                            new ExcitationCheck(criterion, nameplate)
                                .examine(three, directBefore(three, last))));
  }

  /** Returns the first direct-current reading that came before the last of the given ones. */
  private static Optional<BookedReading> directBefore(
      List<BookedReading> three, List<BookedReading> last) {
    BookedReading latest = three.stream().max(BY_ARRIVAL).orElseThrow();
    return last.stream()
        .filter(b -> b.step().test().equals(Step.WINDING_RESISTANCE))
        .filter(b -> b.receivedAt().isBefore(latest.receivedAt()))
        .min(BY_ARRIVAL);
  }

  /** Returns the readings of phases A, B and C that belong together, if all three are there. */
  private static Optional<List<BookedReading>> phases(BookedReading one, List<BookedReading> last) {
    List<BookedReading> three =
        last.stream()
            .filter(b -> b.step().common().equals(one.step().common()))
            .sorted(Comparator.comparing((BookedReading b) -> b.step().phase()))
            .toList();
    List<String> found = three.stream().map(b -> b.step().phase()).toList();
    return found.equals(Step.PHASES) ? Optional.of(three) : Optional.empty();
  }

  private Verdict verdict(Answer answer) {
    Question question = answer.question();
    Criterion criterion = question.criterion();
    BookedReading latest = question.inputs().stream().max(BY_ARRIVAL).orElseThrow();
    return new Verdict(
        id(question),
        latest.recorded().station(),
        testSet,
        nameplate.asset(),
        question.subject(),
        criterion.name(),
        answer.state(),
        answer.measured(),
        answer.expected(),
        question.unit(),
        answer.deviation(),
        question.deviationUnit(),
        question.limit(),
        criterion.uncertainty(),
        Decision.RULE,
        criterion.rule(),
        new TableReference(table.name(), table.version(), table.digest()),
        METHOD,
        question.inputs().stream().map(BookedReading::id).toList(),
        question.inputs().stream().map(BookedReading::bookingId).toList(),
        answer.findings(),
        question.inWords() + ": " + answer.sentence(),
        latest.receivedAt());
  }

  private String id(Question question) {
    List<String> parts = new ArrayList<>();
    parts.add(question.criterion().name());
    parts.add(question.subject());
    parts.add(table.name());
    parts.add(table.version());
    parts.add(table.digest());
    parts.add(METHOD);
    question.inputs().stream().map(BookedReading::id).sorted().forEach(parts::add);
    question.inputs().stream().map(BookedReading::bookingId).sorted().forEach(parts::add);
    return RecordId.derived("verdict", parts.toArray(new String[0]));
  }
}
