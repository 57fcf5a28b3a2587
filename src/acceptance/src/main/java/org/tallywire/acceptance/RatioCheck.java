package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.util.List;
import java.util.Optional;
import org.tallywire.acceptance.Question.Answer;
import org.tallywire.acceptance.RatioRule.Target;
import org.tallywire.acceptance.Verdict.State;
import org.tallywire.acceptance.figure.Percent;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;

/**
 * Holds one turns ratio against what the nameplate promises. A ratio that fails is compared with
 * the other readings of its tap and of its phase, to say where to look.
 *
 * <p>Most readings pass, at up to some hundred thousand a second when a journal is judged again:
 * what is done for those uses no formats and no streams.
 */
final class RatioCheck implements Check {

  private final Criterion criterion;
  private final Case judged;
  private final RatioRule rule;

  RatioCheck(Criterion criterion, Case judged) {
    this.criterion = criterion;
    this.judged = judged;
    this.rule = new RatioRule(criterion, judged.nameplate());
  }

  @Override
  public List<Answer> examine(BookedReading newest, Evidence evidence) {
    Step step = newest.step();
    if (!step.test().equals(Step.TURNS_RATIO)) {
      return List.of();
    }
    Optional<Target> target = rule.target(step);
    return target.isEmpty() ? List.of() : List.of(answer(newest, target.get(), evidence));
  }

  private Answer answer(BookedReading booked, Target target, Evidence evidence) {
    Question question =
        judged.question(criterion, booked.step().id(), List.of(booked), Unit.ONE, target.limit());
    try {
      BigDecimal measured = Figures.number(booked, Quantity.TURNS_RATIO, Unit.ONE);
      BigDecimal deviation = Percent.off(measured, target.ratio());
      State state = question.state(deviation);
      if (state.failed()) {
        return failed(booked, measured, target, deviation, question, evidence);
      }
      return question.decided(
          state,
          measured,
          target.shown(),
          deviation,
          List.of(),
          sentence(measured, target, deviation, state, question) + ".");
    } catch (UndecidableException e) {
      return question.undecided(List.of(), "ratio", e);
    }
  }

  private Answer failed(
      BookedReading booked,
      BigDecimal measured,
      Target target,
      BigDecimal deviation,
      Question question,
      Evidence evidence) {
    RatioCauses causes =
        new RatioCauses(rule, judged.nameplate(), question, booked, measured, target.ratio());
    RatioCauses.Cause cause = causes.likeliest(evidence);
    State state = question.state(deviation);
    String conclusion = cause.conclusion().isEmpty() ? "" : "; " + cause.conclusion();
    Answer answer =
        question
            .alsoOf(cause.others())
            .decided(
                state,
                measured,
                target.shown(),
                deviation,
                List.of(cause.finding()),
                sentence(measured, target, deviation, state, question) + conclusion + ".");
    return state == State.FAIL ? answer.then(cause.next()) : answer;
  }

  /** Returns the sentence without its full stop. */
  private static String sentence(
      BigDecimal measured, Target target, BigDecimal deviation, State state, Question question) {
    return "ratio "
        + measured.toPlainString()
        + " is "
        + Figures.signed(deviation, state, question)
        + " % from "
        + target.inWords()
        + ": "
        + Figures.words(state, question);
  }
}
