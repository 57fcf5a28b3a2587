package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.util.List;
import org.tallywire.acceptance.Question.Answer;
import org.tallywire.acceptance.Verdict.State;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;

/**
 * Holds the phase displacement of a pair of windings against zero. No standard for power
 * transformers has a limit for it; the table's is common practice. An instrument may count from 0
 * to 360 degrees or from -180 to 180.
 */
record PhaseCheck(Criterion criterion, Case judged) implements Check {

  private static final BigDecimal FULL_TURN = BigDecimal.valueOf(360);
  private static final BigDecimal HALF_TURN = BigDecimal.valueOf(180);

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
      BigDecimal displacement = fromZero(measured);
      State state = question.state(displacement);
      boolean reversed = displacement.abs().compareTo(REVERSED) >= 0;
      String sentence =
          "phase displacement "
              + measured.toPlainString()
              + " degrees (limit ±"
              + Figures.bare(question.limit())
              + " degrees): "
              + Figures.words(state, question)
              + (state.failed() && reversed ? "; the pairs are in opposition." : ".");
      Answer answer =
          question.decided(
              measured,
              BigDecimal.ZERO,
              displacement,
              state.failed() ? findings(booked, measured, reversed) : List.of(),
              sentence);
      return state == State.FAIL ? answer.then(next(booked)) : answer;
    } catch (UndecidableException e) {
      return question.undecided(List.of(), "phase displacement", e);
    }
  }

  /** Returns the same angle between -180 and 180 degrees. */
  static BigDecimal fromZero(BigDecimal degrees) throws UndecidableException {
    if (degrees.abs().compareTo(FULL_TURN) > 0) {
      throw new UndecidableException(
          "the phase-displacement is %s degrees, beyond a full turn"
              .formatted(degrees.toPlainString()),
          "Check the instrument's driver, and take it again.");
    }
    if (degrees.abs().compareTo(HALF_TURN) <= 0) {
      return degrees;
    }
    return degrees.signum() > 0 ? degrees.subtract(FULL_TURN) : degrees.add(FULL_TURN);
  }

  private static List<Finding> findings(
      BookedReading booked, BigDecimal measured, boolean reversed) {
    String phase = booked.step().phase();
    String terminals = booked.step().terminals();
    if (reversed) {
      return List.of(
          Finding.seen(
              phase,
              "At %s degrees the HV and the LV pair of phase %s are in opposition."
                  .formatted(measured.toPlainString(), phase)),
          Finding.hint(
              phase,
              ("One pair of leads is probably reversed: check them against %s. If they are right, a"
                      + " winding is reversed or the group on the nameplate is wrong.")
                  .formatted(terminals)));
    }
    return List.of(
        Finding.hint(
            phase,
            ("Phase %s is not in phase: the two pairs may not belong together, or the core is"
                    + " magnetised or a turn shorted: check the leads against %s and the group on"
                    + " the nameplate, and take it again.")
                .formatted(phase, terminals)));
  }

  private static String next(BookedReading booked) {
    return "Switch the test voltage off, check both pairs of leads against %s, and take it again."
        .formatted(booked.step().terminals());
  }
}
