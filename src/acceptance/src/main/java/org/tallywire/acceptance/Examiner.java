package org.tallywire.acceptance;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Map;
import java.util.concurrent.ConcurrentHashMap;
import org.tallywire.acceptance.Question.Answer;
import org.tallywire.acceptance.Verdict.TableReference;
import org.tallywire.api.RecordId;

/**
 * Judges the readings of one test set. Pure: same inputs, same verdicts; no clock, no file, no log.
 * Safe for use by several threads.
 *
 * <p>Each criterion of the table has its {@link Check}; a criterion that the table does not have is
 * not judged. A reading that cannot be judged makes an undecided verdict that says why and what to
 * do; no reading makes this throw.
 */
public final class Examiner {

  /** Version of this computation; it changes whenever the same inputs give another verdict. */
  public static final String METHOD = "2";

  private final String testSet;
  private final Nameplate nameplate;
  private final TableReference table;
  private final String decisionRule;
  private final List<Check> checks;

  /** What is judged, as a person says it: put together once, said with every verdict. */
  private final Map<String, String> words = new ConcurrentHashMap<>();

  /** Makes an examiner of one test set. */
  public Examiner(String testSet, Nameplate nameplate, CriteriaTable table) {
    this.testSet = testSet;
    this.nameplate = nameplate;
    this.table = new TableReference(table.name(), table.version(), table.digest());
    this.decisionRule = table.decision().text() + " " + table.decision().source();
    Case judged = new Case(nameplate, table);
    this.checks =
        table.criteria().stream()
            .sorted(Comparator.comparing(Criterion::kind))
            .map(criterion -> check(criterion, judged))
            .toList();
  }

  private static Check check(Criterion criterion, Case judged) {
    return switch (criterion.kind()) {
      case RATIO_DEVIATION -> new RatioCheck(criterion, judged);
      case RATIO_SPREAD -> new RatioSpreadCheck(criterion, judged);
      case RATIO_STEPS -> new RatioStepsCheck(criterion, judged);
      case RATIO_CHANGE -> new RatioChangeCheck(criterion, judged);
      case WINDING_GROUP -> new GroupCheck(criterion, judged);
      case PHASE_DISPLACEMENT -> new PhaseCheck(criterion, judged);
      case EXCITATION_PATTERN -> new ExcitationCheck(criterion, judged);
      case RESISTANCE_DEVIATION -> new ResistanceCheck(criterion, judged);
      case RESISTANCE_UNBALANCE -> new UnbalanceCheck(criterion, judged);
      case RESISTANCE_SETTLING -> new SettlingCheck(criterion, judged);
      case TEST_CURRENT -> new CurrentCheck(criterion, judged);
      case INSULATION_RESISTANCE -> new InsulationCheck(criterion, judged);
      case POLARISATION_INDEX, ABSORPTION_RATIO -> new AbsorptionCheck(criterion, judged);
      case SHORT_CIRCUIT_IMPEDANCE -> new ImpedanceCheck(criterion, judged);
    };
  }

  /**
   * Returns the verdicts that the newest reading makes possible: its own, and those of every
   * comparison that it completes or changes.
   *
   * @param newest a reading just booked
   * @param evidence the readings of the test set so far, the newest included
   */
  public List<Verdict> examine(BookedReading newest, Evidence evidence) {
    List<Verdict> verdicts = new ArrayList<>();
    for (Check check : checks) {
      for (Answer answer : check.examine(newest, evidence)) {
        verdicts.add(verdict(answer));
      }
    }
    return verdicts;
  }

  private Verdict verdict(Answer answer) {
    Question question = answer.question();
    Criterion criterion = question.criterion();
    List<BookedReading> inputs = question.inputs();
    BookedReading latest = inputs.get(0);
    List<String> readings = new ArrayList<>(inputs.size());
    List<String> bookings = new ArrayList<>(inputs.size());
    for (BookedReading input : inputs) {
      latest = BookedReading.BY_ARRIVAL.compare(input, latest) > 0 ? input : latest;
      readings.add(input.id());
      bookings.add(input.bookingId());
    }
    return new Verdict(
        id(question, readings, bookings),
        latest.recorded().station(),
        testSet,
        nameplate.asset(),
        question.subject(),
        criterion.name(),
        answer.state(),
        answer.measured(),
        answer.expected(),
        question.unit(),
        answer.deviation().map(Figures::deviation),
        criterion.kind().unit(),
        question.limit(),
        criterion.kind().bound(),
        question.allowance().expanded(),
        question.allowance().coverage(),
        answer.deviation().flatMap(question::conformance),
        decisionRule,
        criterion.rule(),
        table,
        METHOD,
        readings,
        bookings,
        answer.findings(),
        words.computeIfAbsent(question.subject(), Question::inWords) + ": " + answer.sentence(),
        answer.next(),
        latest.receivedAt());
  }

  private String id(Question question, List<String> readings, List<String> bookings) {
    List<String> parts = new ArrayList<>();
    parts.add(question.criterion().name());
    parts.add(question.subject());
    parts.add(table.name());
    parts.add(table.version());
    parts.add(table.digest());
    parts.add(METHOD);
    parts.addAll(sorted(readings));
    parts.addAll(sorted(bookings));
    return RecordId.derived("verdict", parts.toArray(new String[0]));
  }

  private static List<String> sorted(List<String> ids) {
    return ids.size() == 1 ? ids : ids.stream().sorted().toList();
  }
}
