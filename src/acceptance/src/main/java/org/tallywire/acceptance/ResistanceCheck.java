package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.util.List;
import org.tallywire.acceptance.Question.Answer;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;

/** Holds one winding resistance against its reference, both at the reference temperature. */
record ResistanceCheck(Criterion criterion, Case judged) implements Check {

  @Override
  public List<Answer> examine(BookedReading newest, Evidence evidence) {
    Step step = newest.step();
    if (!step.test().equals(Step.WINDING_RESISTANCE) || step.expected().isEmpty()) {
      return List.of();
    }
    return List.of(answer(newest, step.expected().get()));
  }

  private Answer answer(BookedReading booked, BigDecimal reference) {
    Correction correction = judged.correction();
    Question question =
        judged.question(
            criterion,
            booked.step().id(),
            List.of(booked),
            Unit.OHM,
            criterion.number(Criterion.LIMIT));
    try {
      BigDecimal corrected = correction.corrected(booked);
      BigDecimal deviation = Figures.percent(corrected, reference);
      return question.decided(
          Figures.computed(corrected),
          reference,
          deviation,
          findings(booked.step(), deviation, question),
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
    } catch (UndecidableException e) {
      return question.undecided(List.of(), "resistance", e);
    }
  }

  private static List<Finding> findings(Step step, BigDecimal deviation, Question question) {
    if (!question.state(deviation).failed()) {
      return List.of();
    }
    String sentence =
        deviation.signum() > 0
            ? "Phase %s is higher than its reference: it may be a bad joint, a worn tap contact or"
                + " a loose lead, or a temperature taken too low. Check leads and temperature,"
                + " work the tap changer through its positions, and take it again."
            : "Phase %s is lower than its reference: it may be shorted turns, a lead on the wrong"
                + " terminal, or a temperature taken too high. Check leads and temperature, and take"
                + " it again.";
    return List.of(Finding.hint(step.phase(), sentence.formatted(step.phase())));
  }
}
