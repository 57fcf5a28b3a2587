package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Collections;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;
import org.tallywire.acceptance.ExcitationHints.Drawn;
import org.tallywire.acceptance.Question.Answer;
import org.tallywire.acceptance.figure.Percent;
import org.tallywire.acceptance.winding.LeadPlan;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;

/**
 * Compares the excitation currents of three phases on one tap, as far as the form of the core says
 * which of them are alike.
 *
 * <ul>
 *   <li>Three limbs: the two higher, after FIST 3-30, 9.3.3 (found); the centre limb is lower.
 *       Measured is the highest, expected the second highest.
 *   <li>Three single-phase cores: all three (practice), with the limits of that rule. Measured is
 *       the highest, expected the lowest.
 *   <li>Four or five limbs, or a shell: not known; other patterns are normal with them (IEEE
 *       C57.152, memory), and only an earlier record of the same unit tells.
 * </ul>
 *
 * <p>The difference is taken of the smaller of the two; the highest decides which limit holds, and
 * exactly the threshold belongs to the lower range (choices of this project: the source does not
 * say).
 */
record ExcitationCheck(Criterion criterion, Case judged) implements Check {

  @Override
  public List<Answer> examine(BookedReading newest, Evidence evidence) {
    return switch (newest.step().test()) {
      case Step.TURNS_RATIO -> ofTap(newest.step(), evidence);
      // a direct-current reading booked late may turn out to have come before excitation currents
      case Step.WINDING_RESISTANCE ->
          evidence.last().stream()
              .map(BookedReading::step)
              .filter(s -> s.test().equals(Step.TURNS_RATIO) && s.phase().equals("A"))
              .flatMap(step -> ofTap(step, evidence).stream())
              .filter(answer -> answer.question().inputs().contains(newest))
              .toList();
      default -> List.of();
    };
  }

  private List<Answer> ofTap(Step step, Evidence evidence) {
    List<BookedReading> phases = evidence.phases(step);
    return phases.size() == Step.PHASES.size()
        ? List.of(examine(phases, directBefore(phases, evidence)))
        : List.of();
  }

  /** Returns the first direct-current reading that came before the last of the given ones. */
  private static Optional<BookedReading> directBefore(
      List<BookedReading> phases, Evidence evidence) {
    Instant latest =
        phases.stream().map(BookedReading::receivedAt).max(Comparator.naturalOrder()).orElseThrow();
    return evidence.last().stream()
        .filter(b -> b.step().test().equals(Step.WINDING_RESISTANCE))
        .filter(b -> b.receivedAt().isBefore(latest))
        .min(BookedReading.BY_ARRIVAL);
  }

  /**
   * Judges phases A, B and C, in this order.
   *
   * @param direct a direct-current reading of the same test set that came before one of them
   */
  private Answer examine(List<BookedReading> phases, Optional<BookedReading> direct) {
    List<BookedReading> inputs = new ArrayList<>(phases);
    direct.ifPresent(inputs::add);
    List<Finding> findings = new ArrayList<>();
    direct.ifPresent(d -> findings.add(ExcitationHints.magnetised(d)));
    try {
      List<Drawn> drawn = drawn(phases);
      checkVoltages(phases);
      checkAlike(drawn, findings);
      return decided(question(inputs, limit(drawn.get(0).current())), drawn, findings);
    } catch (UndecidableException e) {
      return question(inputs, criterion.number(Criterion.LIMIT_UP_TO))
          .undecided(findings, "excitation currents", e);
    }
  }

  private Answer decided(Question question, List<Drawn> drawn, List<Finding> findings) {
    Drawn highest = drawn.get(0);
    Drawn other = bank() ? drawn.get(2) : drawn.get(1);
    BigDecimal difference = Percent.off(highest.current(), other.current());
    boolean failed = question.state(difference).failed();
    ExcitationHints hints =
        new ExcitationHints(drawn, question.limit(), !bank() && leads().namesTheLimb());
    if (failed) {
      findings.add(hints.unlike(bank(), Figures.shown(difference, question)));
    }
    hints.centreLimb(failed).ifPresent(findings::add);
    Answer answer =
        question.decided(
            highest.current(),
            other.current(),
            difference,
            findings,
            sentence(question, highest, other, difference));
    return failed ? answer.then(next(drawn)) : answer;
  }

  /** A core that is left magnetised does not make one current alone a multiple of the others. */
  private static String next(List<Drawn> drawn) {
    return ExcitationHints.farHigher(drawn).isPresent()
        ? "With the test voltage off check the leads of phase %s, and take all three again at one voltage; if it stays, do not put the unit into service before that winding and its limb have been looked at."
            .formatted(drawn.get(0).phase())
        : "With the test voltage off check the leads and the tap position, demagnetise the core,"
            + " and take all three again at one voltage.";
  }

  private String sentence(Question question, Drawn highest, Drawn other, BigDecimal difference) {
    return "%s, %s mA (phase %s) and %s mA (phase %s), differ by %s %% (limit %s %%): %s."
        .formatted(
            bank()
                ? "the highest and the lowest excitation current of three single-phase cores"
                : "the two higher excitation currents",
            highest.current().toPlainString(),
            highest.phase(),
            other.current().toPlainString(),
            other.phase(),
            Figures.shown(difference, question),
            Figures.bare(question.limit()),
            Figures.words(question.state(difference), question));
  }

  private boolean bank() {
    return judged.nameplate().core() == CoreForm.SINGLE_PHASE;
  }

  private Question question(List<BookedReading> inputs, BigDecimal limit) {
    return judged.question(
        criterion, inputs.get(0).step().common(), inputs, Unit.MILLIAMPERE, limit);
  }

  private BigDecimal limit(BigDecimal highest) {
    return highest.compareTo(criterion.number(Criterion.THRESHOLD)) <= 0
        ? criterion.number(Criterion.LIMIT_UP_TO)
        : criterion.number(Criterion.LIMIT_ABOVE);
  }

  /** Says which forms of core and which leads leave nothing to compare. */
  private void checkAlike(List<Drawn> drawn, List<Finding> findings) throws UndecidableException {
    switch (judged.nameplate().core()) {
      case SINGLE_PHASE -> {
        // three like cores are excited in three like ways, whatever the leads
      }
      case THREE_LIMB -> checkLeads();
      case FOUR_LIMB, FIVE_LIMB, SHELL -> {
        ExcitationHints.farHigher(drawn).ifPresent(findings::add);
        throw new UndecidableException(
            "the core is %s, and with such a core no rule says which currents are alike"
                .formatted(judged.nameplate().core().word()),
            "Compare each current with an earlier record of this unit, at the same voltage and tap;"
                + " without one keep these as the first.");
      }
    }
  }

  /**
   * With two windings of a star in series another pattern is normal: two low, one high; likewise
   * with two of a delta in parallel.
   */
  private void checkLeads() throws UndecidableException {
    if (!leads().excitesOneWinding()) {
      throw new UndecidableException(
          ("with group %s the leads do not excite one winding at a time, and the rule of the two"
                  + " higher currents does not hold")
              .formatted(judged.nameplate().group()),
          "Compare the currents with earlier records of this unit.");
    }
  }

  private LeadPlan leads() {
    return LeadPlan.of(judged.nameplate().group());
  }

  private static List<Drawn> drawn(List<BookedReading> phases) throws UndecidableException {
    List<BigDecimal> currents =
        Figures.ofEach(
            phases, b -> Figures.positive(b, Quantity.EXCITATION_CURRENT, Unit.MILLIAMPERE));
    List<Drawn> drawn = new ArrayList<>();
    for (int i = 0; i < phases.size(); i++) {
      drawn.add(new Drawn(phases.get(i).step().phase(), currents.get(i)));
    }
    // the sort is stable: of equal currents the earlier letter stands first
    drawn.sort(Comparator.comparing(Drawn::current).reversed());
    return drawn;
  }

  private void checkVoltages(List<BookedReading> phases) throws UndecidableException {
    List<BigDecimal> volts =
        Figures.ofEach(phases, b -> Figures.positive(b, Quantity.TEST_VOLTAGE, Unit.VOLT));
    BigDecimal spread = Percent.off(Collections.max(volts), Collections.min(volts));
    if (spread.compareTo(criterion.number(Criterion.VOLTAGE_SPREAD)) > 0) {
      throw new UndecidableException(
          ("the test voltages %s, %s and %s V differ by more than %s %%, and the currents compare at"
                  + " one voltage only")
              .formatted(
                  volts.get(0).toPlainString(),
                  volts.get(1).toPlainString(),
                  volts.get(2).toPlainString(),
                  criterion.word(Criterion.VOLTAGE_SPREAD)),
          "Take all three again at the same voltage.");
    }
  }
}
