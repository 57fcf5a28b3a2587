package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.util.List;
import org.tallywire.acceptance.Question.Answer;
import org.tallywire.acceptance.Verdict.State;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;

/** Holds the phase displacement of a pair of windings against zero. */
record PhaseCheck(Criterion criterion, Case judged) implements Check {

  /** From here on to 180 degrees a pair is taken for reversed (common practice). */
  private static final BigDecimal REVERSED = BigDecimal.valueOf(170);

  @Override
  public List<Answer> examine(BookedReading newest, Evidence evidence) {
    return newest.step().test().equals(Step.TURNS_RATIO) ? List.of(answer(newest)) : List.of();
  }

  private Answer answer(BookedReading booked) {
    Question question =
        judged.question(
            criterion,
            booked.step().id(),
            List.of(booked),
            Unit.DEGREE,
            criterion.number(Criterion.LIMIT));
    try {
      BigDecimal measured = Figures.number(booked, Quantity.PHASE_DISPLACEMENT, Unit.DEGREE);
      State state = question.state(measured);
      String sentence =
          "phase displacement %s degrees (limit ±%s degrees): %s."
              .formatted(
                  measured.toPlainString(),
                  Figures.bare(question.limit()),
                  Figures.words(state, question));
      return question.decided(
          measured, BigDecimal.ZERO, measured, findings(booked, measured, state), sentence);
    } catch (UndecidableException e) {
      return question.undecided(List.of(), "phase displacement", e);
    }
  }

  private static List<Finding> findings(BookedReading booked, BigDecimal measured, State state) {
    if (!state.failed()) {
      return List.of();
    }
    String phase = booked.step().phase();
    String advice =
        measured.abs().compareTo(REVERSED) >= 0
            ? "one pair of leads is probably reversed: check them against %s"
            : "the two pairs may not belong together, or the core is magnetised or a turn shorted:"
                + " check the leads against %s and the group on the nameplate";
    return List.of(
        Finding.hint(
            phase,
            "Phase %s is not in phase: %s, and take it again."
                .formatted(phase, advice.formatted(booked.step().terminals()))));
  }
}
