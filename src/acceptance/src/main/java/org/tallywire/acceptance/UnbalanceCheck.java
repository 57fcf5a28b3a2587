package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.stream.Collectors;
import java.util.stream.IntStream;
import org.tallywire.acceptance.Question.Answer;
import org.tallywire.acceptance.figure.Percent;
import org.tallywire.acceptance.resistance.Unbalance;
import org.tallywire.api.Unit;

/**
 * Compares the resistances of three phases at the reference temperature, by the definition that the
 * table names: as they were read, or those of the phase windings behind readings between lines.
 */
record UnbalanceCheck(Criterion criterion, Case judged) implements Check {

  /** Kelvins by which the temperatures of one winding's readings may differ (practice). */
  private static final BigDecimal TEMPERATURES_ALIKE = BigDecimal.valueOf(5);

  private static final String OF_PHASES = "phases";

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
    Question question = judged.across(criterion, phases, Unit.OHM);
    try {
      List<BigDecimal> corrected = Figures.ofEach(phases, correction::corrected);
      List<Finding> findings = temperatures(Figures.ofEach(phases, correction::temperature));
      PhaseOhms three =
          ofWindings()
              ? PhaseOhms.ofWindings(phases, corrected, judged.nameplate().group())
              : PhaseOhms.asRead(phases, corrected);
      return decided(question, three, findings);
    } catch (UndecidableException e) {
      return question.undecided(List.of(), "balance of the phases", e);
    }
  }

  private Answer decided(Question question, PhaseOhms three, List<Finding> findings) {
    BigDecimal unbalance = definition().percent(three.ohms());
    boolean failed = question.state(unbalance).failed();
    if (failed) {
      findings.addAll(findings(three, question.inputs()));
    }
    Answer answer =
        question.decided(
            Figures.computed(Collections.max(three.ohms())),
            Figures.computed(Collections.min(three.ohms())),
            unbalance,
            findings,
            "%s at %s: %s; %s (limit %s %%): %s."
                .formatted(
                    ofWindings() ? "resistances of the phase windings" : "resistances",
                    judged.correction().referenceText(),
                    each(three),
                    differ(Figures.shown(unbalance, question)),
                    Figures.bare(question.limit()),
                    Figures.words(question.state(unbalance), question)));
    return failed
        ? answer.then(
            "Run the current down and let the winding discharge; then check the leads and"
                + " terminals of all three phases, and take the odd one again.")
        : answer;
  }

  private boolean ofWindings() {
    return criterion.word(Criterion.OF).equals(OF_PHASES);
  }

  private Unbalance definition() {
    return Unbalance.named(criterion.word(Criterion.DEFINITION)).orElseThrow();
  }

  private static String each(PhaseOhms three) {
    return IntStream.range(0, three.ohms().size())
        .mapToObj(i -> three.names().get(i) + " " + Figures.ohms(three.ohms().get(i)))
        .collect(Collectors.joining(", "));
  }

  private String differ(String percent) {
    return switch (definition()) {
      case RANGE_OF_MEAN -> "highest and lowest differ by %s %% of the mean".formatted(percent);
      case FARTHEST_FROM_MEAN -> "the farthest is %s %% from the mean".formatted(percent);
      case RANGE_OF_LOWEST -> "highest and lowest differ by %s %% of the lowest".formatted(percent);
    };
  }

  /** Says that the temperatures of the three differ, though every one was corrected by its own. */
  private static List<Finding> temperatures(List<BigDecimal> celsius) {
    BigDecimal apart = Collections.max(celsius).subtract(Collections.min(celsius));
    List<Finding> findings = new ArrayList<>();
    if (apart.compareTo(TEMPERATURES_ALIKE) > 0) {
      findings.add(
          Finding.seen(
              Finding.ALL,
              ("The winding temperatures of the three differ by %s K. Each resistance was corrected"
                      + " by its own, but one winding has one temperature: check the sensor.")
                  .formatted(Figures.bare(apart))));
    }
    return findings;
  }

  /** Names the phase farthest from the median; both where two are equally far. */
  private List<Finding> findings(PhaseOhms three, List<BookedReading> readings) {
    List<BigDecimal> sorted = three.ohms().stream().sorted().toList();
    BigDecimal below = sorted.get(1).subtract(sorted.get(0));
    BigDecimal above = sorted.get(2).subtract(sorted.get(1));
    OddOne odd = new OddOne(readings, ofWindings(), judged.nameplate().group());
    List<Finding> findings = new ArrayList<>();
    if (above.compareTo(below) >= 0) {
      BigDecimal high = sorted.get(2);
      findings.add(finding(three, high, odd.high(three.ohms().indexOf(high)), true));
    }
    if (below.compareTo(above) >= 0) {
      BigDecimal low = sorted.get(0);
      findings.add(finding(three, low, odd.low(three.ohms().indexOf(low)), false));
    }
    return findings;
  }

  private static Finding finding(PhaseOhms three, BigDecimal odd, String meaning, boolean above) {
    List<BigDecimal> ohms = three.ohms();
    String phase = three.phases().get(ohms.indexOf(odd));
    BigDecimal others =
        ohms.stream()
            .reduce(BigDecimal.ZERO, BigDecimal::add)
            .subtract(odd)
            .divide(BigDecimal.valueOf(2), MathContext.DECIMAL128);
    return Finding.hint(
        phase,
        "Phase %s is %s %% %s the mean of the other two. It may be %s, and take it again."
            .formatted(
                phase,
                Percent.off(odd, others).abs().setScale(3, RoundingMode.HALF_EVEN),
                above ? "above" : "below",
                meaning));
  }
}
