package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;
import org.tallywire.acceptance.Question.Answer;
import org.tallywire.acceptance.TapLadder.Rung;
import org.tallywire.acceptance.Verdict.State;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;

/**
 * Holds the steps of one phase from each measured tap to the next against the plate's: (measured −
 * expected difference) / expected ratio on the principal tap, in %; the worst of them is judged.
 * Where a unit has two tap changers, one is on its principal position. Common practice.
 */
record RatioStepsCheck(Criterion criterion, Case judged) implements Check {

  private static final int LEAST_TAPS = 2;

  @Override
  public List<Answer> examine(BookedReading newest, Evidence evidence) {
    Step step = newest.step();
    List<Answer> answers = new ArrayList<>();
    if (step.test().equals(Step.TURNS_RATIO) && step.expected().isPresent()) {
      List<BookedReading> taps = evidence.taps(step);
      for (int i = 0; i < judged.nameplate().tapChangers().size(); i++) {
        int changer = i;
        if (isOf(step, changer)) {
          List<BookedReading> series =
              taps.stream()
                  .filter(b -> isOf(b.step(), changer))
                  .sorted(Comparator.comparing(b -> place(b.step(), changer)))
                  .toList();
          if (series.size() >= LEAST_TAPS) {
            answers.add(answer(series, changer));
          }
        }
      }
    }
    return answers;
  }

  /** Tells whether a step belongs to the taps of a changer, any other on its principal tap. */
  private boolean isOf(Step step, int changer) {
    List<TapChanger> changers = judged.nameplate().tapChangers();
    for (int i = 0; i < changers.size(); i++) {
      OptionalInt position = RatioRule.position(step, i);
      boolean here =
          position.isPresent()
              && (i == changer
                  ? changers.get(i).voltage(position.getAsInt()).isPresent()
                  : position.getAsInt() == changers.get(i).principal());
      if (!here) {
        return false;
      }
    }
    return step.expected().isPresent();
  }

  /** Returns the place of a step's tap in the plate's order. */
  private int place(Step step, int changer) {
    int position = RatioRule.position(step, changer).orElseThrow();
    return judged.nameplate().tapChangers().get(changer).taps().stream()
        .map(TapChanger.Tap::position)
        .toList()
        .indexOf(position);
  }

  private Answer answer(List<BookedReading> series, int changer) {
    Question question =
        judged.question(
            criterion,
            subject(series.get(0).step(), changer),
            series,
            Unit.ONE,
            criterion.number(Criterion.LIMIT));
    try {
      TapLadder ladder =
          new TapLadder(
              judged.nameplate().tapChangers().get(changer),
              expected(series.get(0).step(), changer),
              rungs(series, changer));
      TapLadder.Stride worst = ladder.worst();
      State state = question.state(worst.off());
      Optional<TapLadder.Mistake> mistake = state.failed() ? ladder.mistake() : Optional.empty();
      String conclusion = mistake.map(m -> "; " + m.conclusion()).orElse("");
      Answer answer =
          question.decided(
              Figures.computed(worst.measured()),
              Figures.computed(worst.expected()),
              worst.off(),
              state.failed() ? findings(series.get(0).step(), worst, mistake) : List.of(),
              sentence(ladder, worst, question) + conclusion + ".");
      return state == State.FAIL
          ? answer.then(
              mistake.filter(m -> !m.inChanger()).isPresent()
                  ? leads(series.get(0).step())
                  : next(worst))
          : answer;
    } catch (UndecidableException e) {
      return question.undecided(List.of(), "steps between the taps", e);
    }
  }

  /** Returns what the steps have in common; of two tap changers the one that is moved is "any". */
  private String subject(Step step, int changer) {
    if (judged.nameplate().tapChangers().size() == 1) {
      return step.onEveryTap();
    }
    String one = changer == 0 ? "any" : Integer.toString(step.tap().orElseThrow());
    String other = changer == 1 ? "any" : Integer.toString(step.onLoadTap().orElseThrow());
    return step.onEveryTap() + "/" + one + "/" + other;
  }

  /** Returns the expected ratio on every tap of a changer, in the plate's order. */
  private List<BigDecimal> expected(Step step, int changer) {
    Nameplate plate = judged.nameplate();
    TapSetting here = TapSetting.of(step).orElseThrow();
    return plate.tapChangers().get(changer).taps().stream()
        .map(t -> RatioRule.moved(here, changer, t.position()))
        .map(there -> RatioRule.in(plate, there, step.expected().orElseThrow(), here))
        .toList();
  }

  private static List<Rung> rungs(List<BookedReading> series, int changer)
      throws UndecidableException {
    List<Rung> rungs = new ArrayList<>();
    List<String> refused = new ArrayList<>();
    List<String> next = new ArrayList<>();
    for (BookedReading booked : series) {
      int position = RatioRule.position(booked.step(), changer).orElseThrow();
      try {
        rungs.add(
            new Rung(
                position,
                Figures.positive(booked, Quantity.TURNS_RATIO, Unit.ONE),
                booked.step().expected().orElseThrow()));
      } catch (UndecidableException e) {
        refused.add("on tap %d %s".formatted(position, e.reason()));
        if (!next.contains(e.next())) {
          next.add(e.next());
        }
      }
    }
    if (!refused.isEmpty()) {
      throw new UndecidableException(String.join("; ", refused), String.join(" ", next));
    }
    return rungs;
  }

  private static String sentence(TapLadder ladder, TapLadder.Stride worst, Question question) {
    return "of %d %s the worst is from tap %d to tap %d: %s, expected %s, off by %s %% of the ratio on the principal tap (limit ±%s %%): %s"
        .formatted(
            ladder.strides().size(),
            ladder.strides().size() == 1 ? "step" : "steps",
            worst.from(),
            worst.to(),
            Figures.shown(worst.measured()),
            Figures.shown(worst.expected()),
            Figures.signed(worst.off(), question),
            Figures.bare(question.limit()),
            Figures.words(question.state(worst.off()), question));
  }

  private static List<Finding> findings(
      Step step, TapLadder.Stride worst, Optional<TapLadder.Mistake> mistake) {
    return List.of(
        Finding.seen(
            step.phase(),
            "From tap %d to tap %d the ratio changes by %s where the plate has %s."
                .formatted(
                    worst.from(),
                    worst.to(),
                    Figures.shown(worst.measured()),
                    Figures.shown(worst.expected()))),
        Finding.hint(
            step.phase(),
            mistake
                .map(TapLadder.Mistake::hint)
                .orElse(
                    "It may be shorted turns in the tapped part of the winding, a wrong lead or a"
                        + " bad contact of one of the two taps: compare the same step in the other"
                        + " phases.")));
  }

  private static String leads(Step step) {
    return "Switch the test voltage off, check the leads on %s, and do first what the verdict on the ratio says."
        .formatted(step.terminals());
  }

  private static String next(TapLadder.Stride worst) {
    return ("Switch the test voltage off. With the unit de-energised, move the tap changer through"
            + " its positions and see that its indicator follows; then take tap %d and tap %d"
            + " again.")
        .formatted(worst.from(), worst.to());
  }
}
