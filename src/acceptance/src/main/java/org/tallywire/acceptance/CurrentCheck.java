package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.tallywire.acceptance.Question.Answer;
import org.tallywire.acceptance.resistance.CurrentWindow;
import org.tallywire.acceptance.resistance.FourWire;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;

/**
 * Holds the current of a resistance reading against the rated line current of its side: too much
 * warms the winding, too little leaves the core unsaturated and the reading slow to settle. Sources
 * of the usual numbers are with {@link CurrentWindow#USUAL}. Measured is the test current, expected
 * the rated one; the figure is their share in percent.
 *
 * <p>In a delta two thirds of the test current go through one winding (derived), so that its share
 * of the winding's rated current is 1.155 times what is held against the limit.
 */
record CurrentCheck(Criterion criterion, Case judged) implements Check {

  /** By how many percent voltage over current may be off the resistance (practice). */
  private static final BigDecimal AGREES = BigDecimal.ONE;

  private static final String WHAT = "test current";

  @Override
  public List<Answer> examine(BookedReading newest, Evidence evidence) {
    if (!newest.step().test().equals(Step.WINDING_RESISTANCE)) {
      return List.of();
    }
    Question question = judged.about(criterion, newest, Unit.AMPERE);
    try {
      BigDecimal amperes = Figures.positive(newest, Quantity.TEST_CURRENT, Unit.AMPERE);
      return List.of(answer(question, newest, amperes, rated(newest.step())));
    } catch (UndecidableException e) {
      return List.of(question.undecided(List.of(), WHAT, e));
    }
  }

  private Answer answer(
      Question question, BookedReading booked, BigDecimal amperes, BigDecimal rated)
      throws UndecidableException {
    CurrentWindow.Judged window = window().judge(amperes, rated, noLoad(rated));
    BigDecimal share = window.share();
    boolean failed = question.state(share).failed();
    Answer answer =
        question.decided(
            amperes,
            Figures.computed(rated),
            share,
            findings(booked, amperes, window, failed),
            "test current %s A is %s %% of the rated %s A (limit %s %%): %s."
                .formatted(
                    Figures.shown(amperes),
                    Figures.shown(share, question),
                    Figures.shown(rated),
                    Figures.bare(question.limit()),
                    Figures.words(question.state(share), question)));
    return failed
        ? answer.then(
            "Run the current down, let the winding discharge and cool, and take it again with at"
                + " most %s A.".formatted(most(rated, question.limit())))
        : answer;
  }

  private List<Finding> findings(
      BookedReading booked, BigDecimal amperes, CurrentWindow.Judged window, boolean failed) {
    List<Finding> findings = new ArrayList<>();
    if (!failed && window.share().compareTo(criterion.number(Criterion.CAUTION)) > 0) {
      findings.add(
          Finding.seen(
              ResistanceCheck.phase(booked.step()),
              ("The test current is above %s %% of the rated current: the winding warms while one"
                      + " waits. Take the reading soon, or use a smaller current.")
                  .formatted(criterion.word(Criterion.CAUTION))));
    }
    window
        .least()
        .filter(least -> amperes.compareTo(least) <= 0)
        .ifPresent(least -> findings.add(low(booked, amperes, least, window.empty())));
    disagreement(booked, amperes).ifPresent(findings::add);
    return findings;
  }

  private CurrentWindow window() throws UndecidableException {
    BigDecimal limit = criterion.number(Criterion.LIMIT);
    BigDecimal caution = criterion.number(Criterion.CAUTION);
    if (limit.compareTo(caution) < 0) {
      throw new UndecidableException(
          "the criteria table has the limit %s %% below the caution %s %%"
              .formatted(Figures.bare(limit), Figures.bare(caution)),
          "Correct the criteria table.");
    }
    return new CurrentWindow(criterion.number(Criterion.LEAST_OF_NO_LOAD), caution, limit);
  }

  /** Returns the rated line current of the step's side, on the principal tap. */
  private BigDecimal rated(Step step) throws UndecidableException {
    Nameplate plate = judged.nameplate();
    return switch (step.windings()) {
      case Step.HV -> plate.computedCurrent(Side.HV);
      case Step.LV -> plate.computedCurrent(Side.LV);
      default ->
          throw new UndecidableException(
              "the nameplate does not say the rated current of the windings %s"
                  .formatted(step.windings()),
              "Book the reading to a step on HV or LV.");
    };
  }

  private Optional<BigDecimal> noLoad(BigDecimal rated) {
    return judged
        .nameplate()
        .noLoadCurrentPercent()
        .map(percent -> rated.multiply(percent).movePointLeft(2));
  }

  private Finding low(BookedReading booked, BigDecimal amperes, BigDecimal least, boolean empty) {
    String what =
        "The test current %s A is not above %s times the no-load current, %s A: the core may not be"
            + " saturated, and the reading takes long to settle.";
    return Finding.seen(
        ResistanceCheck.phase(booked.step()),
        (what
                + (empty
                    ? " No current is above that and within the limit too: give it time."
                    : " Use more."))
            .formatted(
                Figures.shown(amperes),
                criterion.word(Criterion.LEAST_OF_NO_LOAD),
                Figures.shown(least)));
  }

  /** Says that a reading with a voltage too does not agree with itself. */
  private static Optional<Finding> disagreement(BookedReading booked, BigDecimal amperes) {
    Optional<BigDecimal> ohms = SettlingRun.ohms(booked);
    if (ohms.isEmpty() || booked.reading().measured(Quantity.TEST_VOLTAGE).isEmpty()) {
      return Optional.empty();
    }
    try {
      BigDecimal volts = Figures.positive(booked, Quantity.TEST_VOLTAGE, Unit.VOLT);
      FourWire wires = new FourWire(volts, amperes);
      return wires.agrees(ohms.get(), AGREES)
          ? Optional.empty()
          : Optional.of(
              Finding.hint(
                  ResistanceCheck.phase(booked.step()),
                  ("Voltage over current is %s, and the reading says %s. The voltage may be that of"
                          + " the source, or the winding was still charging; else check that the"
                          + " voltage leads are on the terminals themselves.")
                      .formatted(Figures.ohms(wires.ohms()), Figures.ohms(ohms.get()))));
    } catch (UndecidableException e) {
      return Optional.empty();
    }
  }

  private static String most(BigDecimal rated, BigDecimal limit) {
    return rated
        .multiply(limit)
        .movePointLeft(2)
        .round(new MathContext(3, RoundingMode.DOWN))
        .toPlainString();
  }
}
