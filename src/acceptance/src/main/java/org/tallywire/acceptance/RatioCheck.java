package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.List;
import java.util.Optional;
import org.tallywire.acceptance.Question.Answer;
import org.tallywire.acceptance.TapChanger.Tap;
import org.tallywire.acceptance.figure.Roots;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;

/** Holds one turns ratio against what the nameplate promises. */
record RatioCheck(Criterion criterion, Case judged) implements Check {

  /** How near to √3 a mistaken factor must come to be named: 1 % (common practice). */
  private static final BigDecimal NEAR = BigDecimal.ONE;

  @Override
  public List<Answer> examine(BookedReading newest, Evidence evidence) {
    Step step = newest.step();
    if (!step.test().equals(Step.TURNS_RATIO) || step.expected().isEmpty()) {
      return List.of();
    }
    return List.of(answer(newest, step.expected().get()));
  }

  private Answer answer(BookedReading booked, BigDecimal expected) {
    Question question =
        judged.question(
            criterion,
            booked.step().id(),
            List.of(booked),
            Unit.ONE,
            limit(criterion, judged.nameplate()));
    try {
      BigDecimal measured = Figures.number(booked, Quantity.TURNS_RATIO, Unit.ONE);
      BigDecimal deviation = Figures.percent(measured, expected);
      List<Finding> findings =
          question.state(deviation).failed()
              ? List.of(finding(booked.step(), measured, expected, question))
              : List.of();
      return question.decided(
          measured,
          Figures.computed(expected),
          deviation,
          findings,
          sentence(measured, expected, deviation, question));
    } catch (UndecidableException e) {
      return question.undecided(List.of(), "ratio", e);
    }
  }

  /**
   * Returns the limit in %: the table's, or a tenth of the plate's impedance where the table asks
   * for it and it is lower. Source: IEC 60076-1:1993+A1:1999, table 1, item 2.
   */
  static BigDecimal limit(Criterion criterion, Nameplate nameplate) {
    return nameplate
        .impedancePercent()
        .filter(impedance -> criterion.flag(Criterion.TENTH_OF_IMPEDANCE))
        .map(impedance -> impedance.movePointLeft(1))
        .map(criterion.number(Criterion.LIMIT)::min)
        .orElse(criterion.number(Criterion.LIMIT));
  }

  private String sentence(
      BigDecimal measured, BigDecimal expected, BigDecimal deviation, Question question) {
    boolean noImpedance =
        criterion.flag(Criterion.TENTH_OF_IMPEDANCE)
            && judged.nameplate().impedancePercent().isEmpty();
    return "ratio %s is %s %% from %s (limit ±%s %%%s): %s."
        .formatted(
            measured.toPlainString(),
            Figures.signed(deviation, question),
            Figures.shown(expected),
            Figures.bare(question.limit()),
            noImpedance ? "; the plate states no impedance to take a tenth of" : "",
            Figures.words(question.state(deviation), question));
  }

  private Finding finding(Step step, BigDecimal measured, BigDecimal expected, Question question) {
    Optional<Tap> other = tapWith(step, measured, expected, question);
    if (other.isPresent()) {
      return Finding.hint(
          step.phase(),
          ("Phase %s reads like tap %d, not tap %d: look at which position the tap changer really"
                  + " is on; if all phases do so, set it right and take them again.")
              .formatted(step.phase(), other.get().position(), step.tap().orElseThrow()));
    }
    BigDecimal factor = measured.divide(expected, MathContext.DECIMAL128);
    if (isNear(factor, Roots.THREE) || isNear(factor.multiply(Roots.THREE), BigDecimal.ONE)) {
      return Finding.hint(
          step.phase(),
          ("Phase %s is off by about the square root of 3: check that the instrument is set to"
                  + " group %s and that the leads are on %s, and take it again.")
              .formatted(step.phase(), judged.nameplate().group(), step.terminals()));
    }
    boolean low = measured.compareTo(expected) < 0;
    return Finding.hint(
        step.phase(),
        ("Phase %s reads %s. Compare it with the other phases on this tap and with this phase on"
                + " the other taps: alone on every tap it may be shorted turns in the %s winding of"
                + " that limb; alone on this tap a fault of the tap's leads or contact; all phases"
                + " alike a wrong tap position or nameplate. Check the leads and take it again.")
            .formatted(step.phase(), low ? "low" : "high", low ? Step.HV : Step.LV));
  }

  /** Returns the tap whose ratio this is; its own it cannot be, since that has failed. */
  private Optional<Tap> tapWith(
      Step step, BigDecimal measured, BigDecimal expected, Question question) {
    Optional<Tap> here =
        judged.nameplate().tapChanger().taps().stream()
            .filter(t -> step.tap().isPresent() && t.position() == step.tap().getAsInt())
            .findFirst();
    return here.flatMap(
        own ->
            judged.nameplate().tapChanger().taps().stream()
                .filter(
                    t -> {
                      BigDecimal there =
                          expected
                              .multiply(t.voltage())
                              .divide(own.voltage(), MathContext.DECIMAL128);
                      return question.state(Figures.percent(measured, there)).passed();
                    })
                .findFirst());
  }

  private static boolean isNear(BigDecimal factor, BigDecimal wanted) {
    return Figures.percent(factor, wanted).abs().compareTo(NEAR) <= 0;
  }
}
