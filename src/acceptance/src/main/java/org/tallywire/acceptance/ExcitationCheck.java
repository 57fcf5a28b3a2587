package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Collections;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;
import org.tallywire.acceptance.Question.Answer;
import org.tallywire.acceptance.winding.LeadPlan;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;

/**
 * Compares the excitation currents of three phases on one tap: the two higher, after FIST 3-30,
 * 9.3.3. The difference is taken of the smaller of the two; the highest decides which limit holds,
 * and exactly the threshold belongs to the lower range (choices of this project: the source does
 * not say). Measured is the highest, expected the second highest.
 */
record ExcitationCheck(Criterion criterion, Case judged) implements Check {

  /** The current of one phase, in mA. */
  private record Drawn(String phase, BigDecimal current) {}

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
    direct.ifPresent(d -> findings.add(magnetised(d)));
    try {
      checkLeads();
      List<Drawn> drawn = drawn(phases);
      checkVoltages(phases);
      Question question = question(inputs, limit(drawn.get(0).current()));
      return decided(question, drawn, findings);
    } catch (UndecidableException e) {
      return question(inputs, criterion.number(Criterion.LIMIT_UP_TO))
          .undecided(findings, "excitation currents", e);
    }
  }

  private Answer decided(Question question, List<Drawn> drawn, List<Finding> findings) {
    Drawn highest = drawn.get(0);
    Drawn second = drawn.get(1);
    BigDecimal difference = Figures.percent(highest.current(), second.current());
    if (question.state(difference).failed()) {
      findings.add(
          Finding.hint(
              highest.phase(),
              ("Phase %s draws %s %% more than phase %s, which should be like it. It may be a"
                      + " shorted turn or a fault of the core in that phase, or a magnetised core:"
                      + " check the leads, demagnetise, take all three again and compare with"
                      + " earlier records of this unit.")
                  .formatted(
                      highest.phase(), Figures.shown(difference, question), second.phase())));
    }
    centreLimb(drawn).ifPresent(findings::add);
    String sentence =
        ("the two higher excitation currents, %s mA (phase %s) and %s mA (phase %s), differ by %s %%"
                + " (limit %s %%): %s.")
            .formatted(
                highest.current().toPlainString(),
                highest.phase(),
                second.current().toPlainString(),
                second.phase(),
                Figures.shown(difference, question),
                Figures.bare(question.limit()),
                Figures.words(question.state(difference), question));
    return question.decided(highest.current(), second.current(), difference, findings, sentence);
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

  /**
   * With two windings of a star in series another pattern is normal: two low, one high; likewise
   * with two of a delta in parallel.
   */
  private void checkLeads() throws UndecidableException {
    if (!LeadPlan.of(judged.nameplate().group()).excitesOneWinding()) {
      throw new UndecidableException(
          ("with group %s the leads do not excite one winding at a time, and the rule of the two"
                  + " higher currents does not hold")
              .formatted(judged.nameplate().group()),
          "Compare the currents with earlier records of this unit.");
    }
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
    BigDecimal spread = Figures.percent(Collections.max(volts), Collections.min(volts));
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

  private Optional<Finding> centreLimb(List<Drawn> drawn) {
    boolean known = LeadPlan.of(judged.nameplate().group()).namesTheLimb();
    Drawn lowest = drawn.get(2);
    boolean centreLowest =
        lowest.phase().equals("B") && lowest.current().compareTo(drawn.get(1).current()) < 0;
    if (!known || centreLowest) {
      return Optional.empty();
    }
    return Optional.of(
        Finding.hint(
            lowest.phase(),
            ("Phase B, on the centre limb of a three-limb core, does not draw the lowest current."
                + " Another form of core, a magnetised core or leads mixed up show this:"
                + " compare with earlier records of this unit, and check the leads.")));
  }

  private static Finding magnetised(BookedReading direct) {
    return Finding.hint(
        Finding.ALL,
        ("A direct-current reading (%s) came before these: residual magnetism may falsify them. If"
                + " they look odd, demagnetise the core and take all three again; measure"
                + " excitation before resistance.")
            .formatted(direct.step().id()));
  }
}
