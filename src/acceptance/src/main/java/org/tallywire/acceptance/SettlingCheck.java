package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;
import java.util.List;
import java.util.Optional;
import org.tallywire.acceptance.Question.Answer;
import org.tallywire.acceptance.resistance.Settling;
import org.tallywire.acceptance.resistance.Settling.Extrapolation;
import org.tallywire.acceptance.resistance.Settling.Trend;
import org.tallywire.acceptance.resistance.SettlingRule;
import org.tallywire.acceptance.resistance.TimedOhms;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading.Status;
import org.tallywire.api.Unit;

/**
 * Tells whether a winding resistance has settled, from the readings that led to it: readings are
 * not taken before the steady state (IEEE C57.12.91, found). The figure held against the limit is
 * the error still to come in percent: what the curve through the readings still has to go to its
 * end; where they bend toward no end, the most that their straight line may still bring.
 *
 * <p>Measured is the last reading, expected the end of the curve, or else the mean of the readings
 * on the line. A reading that the instrument calls settled, with too few before it to check that,
 * is not judged.
 */
record SettlingCheck(Criterion criterion, Case judged) implements Check {

  private static final MathContext THREE = new MathContext(3, RoundingMode.HALF_EVEN);
  private static final BigDecimal HUNDRED = BigDecimal.valueOf(100);
  private static final String WHAT = "settling";

  @Override
  public List<Answer> examine(BookedReading newest, Evidence evidence) {
    if (!newest.step().test().equals(Step.WINDING_RESISTANCE)) {
      return List.of();
    }
    Question alone = judged.about(criterion, newest, Unit.OHM);
    try {
      checkReadable(newest);
      SettlingRule rule =
          SettlingRun.rule(criterion)
              .orElseThrow(
                  () ->
                      new UndecidableException(
                          "the criteria table asks for %s readings, and settling is judged from 5 to %d"
                              .formatted(criterion.word(Criterion.LEAST_READINGS), Evidence.KEPT),
                          "Correct the setting %s of the table."
                              .formatted(Criterion.LEAST_READINGS)));
      SettlingRun run = SettlingRun.upTo(newest, evidence);
      return answer(run, evidence.settling(run, rule), rule, alone).stream().toList();
    } catch (UndecidableException e) {
      return List.of(alone.undecided(List.of(), WHAT, e));
    }
  }

  private static void checkReadable(BookedReading newest) throws UndecidableException {
    if (newest.reading().status() != Status.NOT_SETTLED) {
      // says why, if it cannot be read
      Figures.positive(newest, Quantity.WINDING_RESISTANCE, Unit.OHM);
    } else if (SettlingRun.ohms(newest).isEmpty()) {
      throw new UndecidableException(
          "the instrument calls its reading not-settled, and it has no winding-resistance above"
              + " zero",
          "Check leads and range, and take it again.");
    }
  }

  private static Optional<Answer> answer(
      SettlingRun run, Settling settling, SettlingRule rule, Question alone) {
    BookedReading newest = run.readings().get(run.readings().size() - 1);
    Question question = alone.alsoOf(run.readings());
    return switch (settling.state()) {
      case TOO_FEW ->
          newest.reading().status() == Status.OK
              ? Optional.empty()
              : Optional.of(undecided(question, few(run, rule)));
      case SCATTERED ->
          Optional.of(
              undecided(
                  question,
                  new UndecidableException(
                      settling.reason(),
                      "Look at leads and clamps without breaking the current, and take more"
                          + " readings.")));
      case SETTLED, NOT_SETTLED -> Optional.of(decided(run, settling, question));
    };
  }

  private static Answer undecided(Question question, UndecidableException why) {
    return question.undecided(List.of(), WHAT, why);
  }

  private static UndecidableException few(SettlingRun run, SettlingRule rule) {
    long there =
        run.stream().stream().map(t -> t.seconds().stripTrailingZeros()).distinct().count();
    long more = rule.least() - there;
    return new UndecidableException(
        "the instrument calls its reading not-settled, and there %s of the %d needed"
            .formatted(there == 1 ? "is 1 reading" : "are " + there + " readings", rule.least()),
        "Leave the current on and the leads in place: it needs %d more reading%s."
            .formatted(more, more == 1 ? "" : "s"));
  }

  private static Answer decided(SettlingRun run, Settling settling, Question question) {
    Trend trend = settling.trend().orElseThrow();
    Optional<Extrapolation> end = settling.end();
    BigDecimal last = run.stream().get(run.stream().size() - 1).ohms();
    BigDecimal expected = end.map(Extrapolation::ohms).orElse(trend.mean());
    BigDecimal figure =
        end.map(e -> e.toGo().multiply(HUNDRED).divide(e.ohms(), MathContext.DECIMAL128))
            .orElse(trend.drift());
    boolean failed = question.state(figure).failed();
    if (settling.state() == Settling.State.NOT_SETTLED && !failed) {
      return undecided(
          question,
          new UndecidableException(
              settling.reason(), "Leave the current on, and take more readings."));
    }
    String sentence = sentence(run, settling, question, figure);
    Answer answer =
        question.decided(last, expected, figure, findings(run, trend, failed), sentence);
    return failed ? answer.then(next(end)) : answer;
  }

  private static String sentence(
      SettlingRun run, Settling settling, Question question, BigDecimal figure) {
    Optional<Extrapolation> end = settling.end();
    TimedOhms last = run.stream().get(run.stream().size() - 1);
    return "resistance %s after %d readings in %s s %s; %s %% %s (limit %s %%)%s: %s."
        .formatted(
            Figures.ohms(last.ohms()),
            run.stream().size(),
            Figures.bare(last.seconds()),
            end.map(SettlingCheck::toward).orElseGet(() -> along(settling.trend().orElseThrow())),
            Figures.shown(figure, question),
            end.isPresent() ? "still to go" : "may still be to come",
            Figures.bare(question.limit()),
            question.state(figure).failed() ? end.map(SettlingCheck::waiting).orElse("") : "",
            Figures.words(question.state(figure), question));
  }

  /** The slope at the last reading is what is still to go over the time constant (derived). */
  private static String toward(Extrapolation end) {
    return "%s toward %s ± %s (k = 2), now by %s a second"
        .formatted(
            end.toGo().signum() < 0 ? "rises" : "falls",
            Figures.ohms(end.ohms()),
            few(end.uncertainty().multiply(BigDecimal.valueOf(2))),
            few(end.toGo().abs().divide(end.timeConstant(), MathContext.DECIMAL64)));
  }

  private static String few(BigDecimal ohms) {
    return Figures.ohms(ohms.round(THREE).stripTrailingZeros());
  }

  private static String along(Trend trend) {
    if (trend.slope().signum() == 0) {
      return "does not change";
    }
    return "%s by %s a second and bends toward no end"
        .formatted(trend.slope().signum() > 0 ? "rises" : "falls", few(trend.slope().abs()));
  }

  private static String waiting(Extrapolation end) {
    return end.secondsToWait().signum() > 0 ? ", about %s s to wait".formatted(seconds(end)) : "";
  }

  /** Returns the time to wait, rounded up to whole seconds. */
  private static String seconds(Extrapolation end) {
    return end.secondsToWait().setScale(0, RoundingMode.UP).toPlainString();
  }

  static String next(Optional<Extrapolation> end) {
    return end.filter(e -> e.secondsToWait().signum() > 0)
        .map(
            e ->
                "Leave the current on and the leads in place, and take it again in about %s s."
                    .formatted(seconds(e)))
        .orElse("Leave the current on and the leads in place, and take it again later.");
  }

  private static List<Finding> findings(SettlingRun run, Trend trend, boolean failed) {
    Step step = run.readings().get(0).step();
    return failed && trend.slope().signum() > 0
        ? List.of(
            Finding.hint(
                ResistanceCheck.phase(step),
                ("Phase %s rises. The test current may be warming the winding, or a clamp is"
                        + " working loose: run the current down, look at the clamps, and take it"
                        + " with a smaller current.")
                    .formatted(step.phase())))
        : List.of();
  }
}
