package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Optional;
import org.tallywire.acceptance.Question.Answer;
import org.tallywire.acceptance.Verdict.State;
import org.tallywire.acceptance.figure.Percent;
import org.tallywire.acceptance.resistance.Unbalance;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;

/**
 * Compares the ratios of the three phases on one tap with each other, each taken by its expected
 * one: (max − min) / mean, in %. Source: ANSI/NETA ATS, ratio within a limit of adjacent coils
 * (memory); what to divide by is practice.
 */
record RatioSpreadCheck(Criterion criterion, Case judged) implements Check {

  private static final int THREE = 3;

  private static final String ALL_LEADS =
      "Switch the test voltage off, check all leads and that the tap changer stands still, and take"
          + " the three phases again.";

  @Override
  public List<Answer> examine(BookedReading newest, Evidence evidence) {
    Step step = newest.step();
    if (!step.test().equals(Step.TURNS_RATIO) || step.expected().isEmpty()) {
      return List.of();
    }
    List<BookedReading> phases = evidence.phases(step);
    return phases.size() == THREE && phases.stream().allMatch(b -> b.step().expected().isPresent())
        ? List.of(answer(phases))
        : List.of();
  }

  /** Judges phases A, B and C, in this order; measured is the highest, expected the lowest. */
  private Answer answer(List<BookedReading> phases) {
    Question question = judged.across(criterion, phases, Unit.ONE);
    try {
      List<BigDecimal> ratios =
          Figures.ofEach(phases, b -> Figures.positive(b, Quantity.TURNS_RATIO, Unit.ONE));
      List<BigDecimal> byExpected = byExpected(ratios, phases);
      BigDecimal spread = Unbalance.RANGE_OF_MEAN.percent(byExpected);
      State state = question.state(spread);
      String sentence =
          "ratios A "
              + ratios.get(0).toPlainString()
              + ", B "
              + ratios.get(1).toPlainString()
              + ", C "
              + ratios.get(2).toPlainString()
              + "; highest and lowest differ by "
              + Figures.shown(spread, question)
              + " % of the mean (limit "
              + Figures.bare(question.limit())
              + " %): "
              + Figures.words(state, question);
      Optional<String> alone =
          state.failed() ? aloneRight(phases, ratios, question) : Optional.empty();
      Answer answer =
          question.decided(
              ratios.get(byExpected.indexOf(Collections.max(byExpected))),
              ratios.get(byExpected.indexOf(Collections.min(byExpected))),
              spread,
              state.failed()
                  ? alone.map(RatioSpreadCheck::twoWrong).orElseGet(() -> findings(byExpected))
                  : List.of(),
              state.failed()
                  ? sentence
                      + "; "
                      + alone
                          .map("only phase %s is as the plate says"::formatted)
                          .orElseGet(() -> conclusion(byExpected))
                      + "."
                  : sentence + ".");
      return state == State.FAIL
          ? answer.then(alone.isPresent() ? ALL_LEADS : next(phases, byExpected))
          : answer;
    } catch (UndecidableException e) {
      return question.undecided(List.of(), "ratios of the phases", e);
    }
  }

  /** Returns each ratio by its expected one, all times the same number, exactly. */
  private static List<BigDecimal> byExpected(List<BigDecimal> ratios, List<BookedReading> phases) {
    List<BigDecimal> expected =
        phases.stream().map(b -> b.step().expected().orElseThrow()).toList();
    if (expected.stream().allMatch(expected.get(0)::equals)) {
      return ratios;
    }
    List<BigDecimal> products = new ArrayList<>();
    for (int i = 0; i < THREE; i++) {
      BigDecimal others = expected.get((i + 1) % THREE).multiply(expected.get((i + 2) % THREE));
      products.add(ratios.get(i).multiply(others));
    }
    return products;
  }

  /** Returns the place of the phase farthest from the median, or −1 where two are equally far. */
  private static int farthest(List<BigDecimal> three) {
    List<BigDecimal> sorted = three.stream().sorted().toList();
    BigDecimal below = sorted.get(1).subtract(sorted.get(0));
    BigDecimal above = sorted.get(2).subtract(sorted.get(1));
    int side = above.compareTo(below);
    return side == 0 ? -1 : three.indexOf(sorted.get(side > 0 ? 2 : 0));
  }

  /** Returns the phase that alone is within the limit of its expected ratio, if one is. */
  private static Optional<String> aloneRight(
      List<BookedReading> phases, List<BigDecimal> ratios, Question question) {
    List<String> right = new ArrayList<>();
    for (int i = 0; i < THREE; i++) {
      Step step = phases.get(i).step();
      BigDecimal off = Percent.off(ratios.get(i), step.expected().orElseThrow());
      if (off.abs().compareTo(question.limit()) <= 0) {
        right.add(step.phase());
      }
    }
    return right.size() == 1 ? Optional.of(right.get(0)) : Optional.empty();
  }

  private static List<Finding> twoWrong(String right) {
    return List.of(
        Finding.hint(
            Finding.ALL,
            "Phase %s is right and the other two are not: leads of two phases exchanged, one lead on a wrong terminal, or a tap changer that was moved between the readings."
                .formatted(right)));
  }

  private static String conclusion(List<BigDecimal> three) {
    int out = farthest(three);
    return out < 0
        ? "no phase stands out alone"
        : "phase %s stands out".formatted(Step.PHASES.get(out));
  }

  private static List<Finding> findings(List<BigDecimal> three) {
    int out = farthest(three);
    if (out < 0) {
      return List.of(
          Finding.hint(
              Finding.ALL,
              "All three phases differ: leads mixed up, or the tap changer was moved between the"
                  + " readings."));
    }
    String phase = Step.PHASES.get(out);
    BigDecimal others =
        three.stream()
            .reduce(BigDecimal.ZERO, BigDecimal::add)
            .subtract(three.get(out))
            .divide(BigDecimal.valueOf(2), MathContext.DECIMAL128);
    BigDecimal off = Percent.off(three.get(out), others);
    boolean high = off.signum() > 0;
    return List.of(
        Finding.seen(
            phase,
            "Phase %s is %s %% %s the mean of the other two."
                .formatted(phase, Figures.shown(off.abs()), high ? "above" : "below")),
        Finding.hint(
            phase,
            ("A ratio that is %s in one phase alone may be shorted turns in %s %s, a contact of the"
                    + " tap changer, or leads on the wrong terminals.")
                .formatted(high ? "high" : "low", high ? Step.LV : Step.HV, phase)));
  }

  private static String next(List<BookedReading> phases, List<BigDecimal> three) {
    int out = farthest(three);
    return out < 0
        ? ALL_LEADS
        : "Switch the test voltage off, check the leads on %s, and take phase %s again."
            .formatted(phases.get(out).step().terminals(), Step.PHASES.get(out));
  }
}
