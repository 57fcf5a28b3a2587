package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.util.ArrayList;
import java.util.List;
import org.tallywire.acceptance.Criterion.Kind;
import org.tallywire.acceptance.Question.Answer;
import org.tallywire.acceptance.related.Absorption;
import org.tallywire.acceptance.related.AbsorptionScale;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;

/**
 * Holds the polarisation index, R(10 min) / R(1 min), or the dielectric absorption ratio, R(60 s) /
 * R(30 s), against its least value, which is the expected one. One temperature holds for both
 * resistances, so that nothing is corrected. With oil-filled transformers this is information only
 * (found in a testing article): a table that has it says so in its rule.
 */
record AbsorptionCheck(Criterion criterion, Case judged) implements Check {

  @Override
  public List<Answer> examine(BookedReading newest, Evidence evidence) {
    if (!newest.step().test().equals(Step.INSULATION_RESISTANCE)) {
      return List.of();
    }
    Question question = judged.about(criterion, newest, Unit.ONE);
    Answer answer;
    try {
      answer = answer(question, newest);
    } catch (UndecidableException e) {
      answer = question.undecided(List.of(), what(), e);
    }
    return List.of(answer.then(InsulationCheck.DISCHARGE + answer.next()));
  }

  private boolean index() {
    return criterion.kind() == Kind.POLARISATION_INDEX;
  }

  private String what() {
    return index() ? "polarisation index" : "dielectric absorption ratio";
  }

  private Answer answer(Question question, BookedReading booked) throws UndecidableException {
    BigDecimal minute = Figures.positive(booked, Quantity.INSULATION_RESISTANCE, Unit.MEGOHM);
    BigDecimal other =
        Figures.positive(
            booked,
            index() ? Quantity.INSULATION_RESISTANCE_10_MIN : Quantity.INSULATION_RESISTANCE_30_S,
            Unit.MEGOHM);
    BigDecimal ratio =
        index()
            ? Absorption.polarisationIndex(minute, other)
            : Absorption.dielectricAbsorptionRatio(other, minute);
    boolean failed = question.state(ratio).failed();
    Answer answer =
        question.decided(
            Figures.computed(ratio),
            question.limit(),
            ratio,
            findings(ratio, minute, failed),
            "%s %s, %s (least %s): %s."
                .formatted(
                    what(),
                    Figures.bare(new BigDecimal(Figures.shown(ratio, question))),
                    index()
                        ? "%s MΩ after 10 min over %s MΩ after 1 min"
                            .formatted(Figures.shown(other), Figures.shown(minute))
                        : "%s MΩ after 60 s over %s MΩ after 30 s"
                            .formatted(Figures.shown(minute), Figures.shown(other)),
                    Figures.bare(question.limit()),
                    Figures.words(question.state(ratio), question)));
    return failed
        ? answer.then(
            "Then compare with earlier records and with the insulation resistance itself before"
                + " more is made of it.")
        : answer;
  }

  private List<Finding> findings(BigDecimal ratio, BigDecimal minute, boolean failed) {
    List<Finding> findings = new ArrayList<>();
    if (index() && Absorption.indexMayMeanNothing(minute)) {
      findings.add(
          Finding.seen(
              Finding.ALL,
              "The resistance after 1 min is above 5000 MΩ, and from there on the polarisation index"
                  + " may mean nothing (IEEE 43, found in a secondary page)."));
    }
    if (failed) {
      AbsorptionScale scale =
          index() ? AbsorptionScale.INDEX_TRANSFORMER : AbsorptionScale.ABSORPTION_RATIO;
      findings.add(
          Finding.hint(
              Finding.ALL,
              "The word for it is \"%s\" on the scale %s (%s; %s)."
                  .formatted(scale.word(ratio), scale.name(), scale.source(), scale.certainty())));
    }
    return findings;
  }
}
