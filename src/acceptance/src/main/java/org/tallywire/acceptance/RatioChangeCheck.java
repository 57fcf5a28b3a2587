package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.util.List;
import java.util.Optional;
import org.tallywire.acceptance.Question.Answer;
import org.tallywire.acceptance.Verdict.State;
import org.tallywire.acceptance.figure.Percent;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;

/**
 * Holds a ratio against the one measured earlier on the same step, in % of the earlier one. Common
 * practice.
 */
record RatioChangeCheck(Criterion criterion, Case judged) implements Check {

  @Override
  public List<Answer> examine(BookedReading newest, Evidence evidence) {
    Step step = newest.step();
    BigDecimal earlier = judged.nameplate().earlierRatios().get(step.id());
    return step.test().equals(Step.TURNS_RATIO) && earlier != null
        ? List.of(answer(newest, earlier))
        : List.of();
  }

  private Answer answer(BookedReading booked, BigDecimal earlier) {
    Question question = judged.about(criterion, booked, Unit.ONE);
    try {
      BigDecimal measured = Figures.positive(booked, Quantity.TURNS_RATIO, Unit.ONE);
      BigDecimal change = Percent.off(measured, earlier);
      State state = question.state(change);
      Answer answer =
          question.decided(
              measured,
              earlier,
              change,
              state.failed()
                  ? List.of(finding(booked.step(), measured, earlier, question))
                  : List.of(),
              "ratio "
                  + measured.toPlainString()
                  + " is "
                  + Figures.signed(change, state, question)
                  + " % from the earlier "
                  + Figures.shown(earlier)
                  + " (limit ±"
                  + Figures.bare(question.limit())
                  + " %): "
                  + Figures.words(state, question)
                  + ".");
      return state == State.FAIL
          ? answer.then(
              ("Switch the test voltage off, check the leads on %s and, with the unit de-energised,"
                      + " the tap position, and take it again.")
                  .formatted(booked.step().terminals()))
          : answer;
    } catch (UndecidableException e) {
      return question.undecided(List.of(), "change of the ratio", e);
    }
  }

  private Finding finding(Step step, BigDecimal measured, BigDecimal earlier, Question question) {
    Optional<BigDecimal> expected = step.expected();
    if (expected.isPresent() && question.state(Percent.off(measured, expected.get())).passed()) {
      return Finding.seen(
          step.phase(),
          ("The earlier ratio is %s %% from the %s that the plate promises, and today's is not:"
                  + " doubt the earlier one.")
              .formatted(
                  Figures.shown(Percent.off(earlier, expected.get())),
                  Figures.shown(expected.get())));
    }
    Optional<String> tap =
        judged.nameplate().earlierRatios().entrySet().stream()
            .filter(e -> !e.getKey().equals(step.id()))
            .filter(e -> e.getKey().startsWith(step.onEveryTap() + "/"))
            .filter(e -> question.state(Percent.off(measured, e.getValue())).passed())
            .map(e -> e.getKey().substring(step.onEveryTap().length() + 1))
            .min(String::compareTo);
    return tap.map(
            t ->
                Finding.hint(
                    step.phase(),
                    ("Phase %s reads like tap %s of the earlier test: look at which position the"
                            + " tap changer really is on, now and then.")
                        .formatted(step.phase(), t)))
        .orElseGet(
            () ->
                Finding.hint(
                    step.phase(),
                    ("Since the earlier test the ratio of phase %s has become %s: it may be turns"
                            + " shorted in %s, leads on other terminals, or another tap position.")
                        .formatted(
                            step.phase(),
                            measured.compareTo(earlier) > 0 ? "higher" : "lower",
                            measured.compareTo(earlier) > 0 ? Step.LV : Step.HV)));
  }
}
