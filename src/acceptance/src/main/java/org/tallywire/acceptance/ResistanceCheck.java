package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.util.List;
import java.util.Optional;
import org.tallywire.acceptance.Criterion.Kind;
import org.tallywire.acceptance.Question.Answer;
import org.tallywire.acceptance.figure.Percent;
import org.tallywire.acceptance.resistance.Settling;
import org.tallywire.acceptance.resistance.SettlingRule;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;

/**
 * Holds one winding resistance against its reference, both at the reference temperature and between
 * the same terminals. Where the table judges settling and the readings that led to this one show
 * that it had not settled, nothing is decided.
 */
record ResistanceCheck(Criterion criterion, Case judged) implements Check {

  @Override
  public List<Answer> examine(BookedReading newest, Evidence evidence) {
    Step step = newest.step();
    if (!step.test().equals(Step.WINDING_RESISTANCE) || step.expected().isEmpty()) {
      return List.of();
    }
    return List.of(answer(newest, step.expected().get(), evidence));
  }

  private Answer answer(BookedReading booked, BigDecimal reference, Evidence evidence) {
    Optional<SettlingRule> rule =
        judged.table().criterion(Kind.RESISTANCE_SETTLING).flatMap(SettlingRun::rule);
    Question question = judged.about(criterion, booked, Unit.OHM);
    Optional<SettlingRun> run =
        rule.map(r -> SettlingRun.upTo(booked, evidence))
            .filter(r -> r.readings().size() >= rule.get().least());
    if (run.isPresent()) {
      question = question.alsoOf(run.get().readings());
    }
    try {
      BigDecimal corrected = judged.correction().corrected(booked);
      if (run.isPresent()) {
        checkSettled(evidence.settling(run.get(), rule.get()));
      }
      return decided(question, booked, corrected, reference);
    } catch (UndecidableException e) {
      return question.undecided(List.of(), "resistance", e);
    }
  }

  private static void checkSettled(Settling settling) throws UndecidableException {
    if (settling.state() == Settling.State.NOT_SETTLED) {
      throw new UndecidableException(
          "it has not settled: it " + settling.reason(), SettlingCheck.next(settling.end()));
    }
  }

  private Answer decided(
      Question question, BookedReading booked, BigDecimal corrected, BigDecimal reference)
      throws UndecidableException {
    Correction correction = judged.correction();
    BigDecimal deviation = Percent.off(corrected, reference);
    boolean failed = question.state(deviation).failed();
    Answer answer =
        question.decided(
            Figures.computed(corrected),
            reference,
            deviation,
            failed ? List.of(finding(booked.step(), deviation)) : List.of(),
            "resistance %s at %s °C is %s at %s, %s %% from %s (limit ±%s %%): %s."
                .formatted(
                    Figures.ohms(Figures.number(booked, Quantity.WINDING_RESISTANCE, Unit.OHM)),
                    correction.temperature(booked).toPlainString(),
                    Figures.ohms(corrected),
                    correction.referenceText(),
                    Figures.signed(deviation, question),
                    Figures.ohms(reference),
                    Figures.bare(question.limit()),
                    Figures.words(question.state(deviation), question)));
    return failed
        ? answer.then(
            "Run the current down and let the winding discharge; then check leads, terminals, "
                + (booked.step().tap().isPresent() ? "tap position " : "")
                + "and temperature, and take it again.")
        : answer;
  }

  private static Finding finding(Step step, BigDecimal deviation) {
    boolean tapped = step.tap().isPresent();
    String sentence =
        deviation.signum() > 0
            ? "Phase %s is higher than its reference: it may be a bad joint or a loose lead, "
                + (tapped ? "a worn tap contact or another tap position, " : "")
                + "or a temperature taken too low. Check leads and temperature,"
                + (tapped
                    ? " work the tap changer through its positions with the unit de-energised and"
                        + " the winding discharged,"
                    : "")
                + " and take it again."
            : "Phase %s is lower than its reference: it may be shorted turns, a lead on the wrong"
                + " terminal, "
                + (tapped ? "another tap position, " : "")
                + "or a temperature taken too high. Check leads and temperature, and take it again.";
    return Finding.hint(phase(step), sentence.formatted(step.phase()));
  }

  /** Returns what a finding on a step is about. */
  static String phase(Step step) {
    return Step.PHASES.contains(step.phase()) ? step.phase() : Finding.ALL;
  }
}
