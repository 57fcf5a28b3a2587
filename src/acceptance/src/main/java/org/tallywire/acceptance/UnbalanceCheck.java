package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import org.tallywire.acceptance.Question.Answer;
import org.tallywire.api.Unit;

/** Compares the resistances of three phases at the reference temperature: (max − min) / mean. */
record UnbalanceCheck(Criterion criterion, Case judged) implements Check {

  private static final BigDecimal THREE_HUNDRED = BigDecimal.valueOf(300);

  @Override
  public List<Answer> examine(BookedReading newest, Evidence evidence) {
    Step step = newest.step();
    List<BookedReading> phases = evidence.phases(step);
    return step.test().equals(Step.WINDING_RESISTANCE) && phases.size() == Step.PHASES.size()
        ? List.of(answer(phases))
        : List.of();
  }

  /** Judges phases A, B and C, in this order; measured is the highest, expected the lowest. */
  private Answer answer(List<BookedReading> phases) {
    Correction correction = judged.correction();
    Question question =
        judged.question(
            criterion,
            phases.get(0).step().common(),
            phases,
            Unit.OHM,
            criterion.number(Criterion.LIMIT));
    try {
      List<BigDecimal> ohms = Figures.ofEach(phases, correction::corrected);
      BigDecimal highest = Collections.max(ohms);
      BigDecimal lowest = Collections.min(ohms);
      BigDecimal unbalance = unbalance(ohms);
      return question.decided(
          Figures.computed(highest),
          Figures.computed(lowest),
          unbalance,
          question.state(unbalance).failed() ? findings(ohms) : List.of(),
          ("resistances at %s: A %s, B %s, C %s; highest and lowest differ by %s %% of the mean"
                  + " (limit %s %%): %s.")
              .formatted(
                  correction.referenceText(),
                  Figures.ohms(ohms.get(0)),
                  Figures.ohms(ohms.get(1)),
                  Figures.ohms(ohms.get(2)),
                  Figures.shown(unbalance, question),
                  Figures.bare(question.limit()),
                  Figures.words(question.state(unbalance), question)));
    } catch (UndecidableException e) {
      return question.undecided(List.of(), "balance of the phases", e);
    }
  }

  /** Returns (max − min) / mean × 100 of three, rounded once, to 34 digits. */
  static BigDecimal unbalance(List<BigDecimal> three) {
    BigDecimal sum = three.stream().reduce(BigDecimal.ZERO, BigDecimal::add);
    return Collections.max(three)
        .subtract(Collections.min(three))
        .multiply(THREE_HUNDRED)
        .divide(sum, MathContext.DECIMAL128);
  }

  /** Names the phase farthest from the median; both where two are equally far. */
  private static List<Finding> findings(List<BigDecimal> ohms) {
    List<BigDecimal> sorted = ohms.stream().sorted().toList();
    BigDecimal below = sorted.get(1).subtract(sorted.get(0));
    BigDecimal above = sorted.get(2).subtract(sorted.get(1));
    List<Finding> findings = new ArrayList<>();
    if (above.compareTo(below) >= 0) {
      findings.add(finding(ohms, sorted.get(2), "above"));
    }
    if (below.compareTo(above) >= 0) {
      findings.add(finding(ohms, sorted.get(0), "below"));
    }
    return findings;
  }

  private static Finding finding(List<BigDecimal> ohms, BigDecimal ofPhase, String side) {
    String phase = Step.PHASES.get(ohms.indexOf(ofPhase));
    BigDecimal others =
        ohms.stream()
            .reduce(BigDecimal.ZERO, BigDecimal::add)
            .subtract(ofPhase)
            .divide(BigDecimal.valueOf(2), MathContext.DECIMAL128);
    String meaning =
        side.equals("above")
            ? "a bad joint, a worn tap contact or a loose lead: clean and tighten the connections,"
                + " work the tap changer through its positions"
            : "shorted turns or leads mixed up: check the leads against the step's terminals";
    return Finding.hint(
        phase,
        "Phase %s is %s %% %s the mean of the other two. It may be %s, and take it again."
            .formatted(
                phase,
                Figures.percent(ofPhase, others).abs().setScale(3, RoundingMode.HALF_EVEN),
                side,
                meaning));
  }
}
