package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.util.ArrayList;
import java.util.Collections;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;
import org.tallywire.acceptance.Criterion.ExcitationPattern;
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
record ExcitationCheck(ExcitationPattern criterion, Nameplate nameplate) {

  /** Currents compare at one voltage only; how far voltages may differ, in % (common practice). */
  private static final BigDecimal VOLTAGE_SPREAD = BigDecimal.ONE;

  /** The current of one phase, in mA. */
  private record Drawn(String phase, BigDecimal current) {}

  /**
   * Judges phases A, B and C, in this order.
   *
   * @param direct a direct-current reading of the same test set that came before one of them
   */
  Answer examine(List<BookedReading> phases, Optional<BookedReading> direct) {
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
      return question(inputs, criterion.limitUpTo())
          .undecided(findings, "excitation currents not judged: " + e.getMessage() + ".");
    }
  }

  private Answer decided(Question question, List<Drawn> drawn, List<Finding> findings) {
    Drawn highest = drawn.get(0);
    Drawn second = drawn.get(1);
    BigDecimal difference = Figures.percent(highest.current(), second.current());
    if (question.state(difference).failed()) {
      findings.add(
          new Finding(
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
    return new Question(
        criterion, inputs.get(0).step().common(), inputs, Unit.MILLIAMPERE, Unit.PERCENT, limit);
  }

  private BigDecimal limit(BigDecimal highest) {
    return highest.compareTo(criterion.threshold()) <= 0
        ? criterion.limitUpTo()
        : criterion.limitAbove();
  }

  /**
   * With two windings of a star in series another pattern is normal: two low, one high; likewise
   * with two of a delta in parallel.
   */
  private void checkLeads() throws UndecidableException {
    if (!LeadPlan.of(nameplate.group()).excitesOneWinding()) {
      throw new UndecidableException(
          ("with group %s the leads do not excite one winding at a time, and the rule of the two"
                  + " higher currents does not hold: compare them with earlier records of this"
                  + " unit")
              .formatted(nameplate.group()));
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

  private static void checkVoltages(List<BookedReading> phases) throws UndecidableException {
    List<BigDecimal> volts =
        Figures.ofEach(phases, b -> Figures.positive(b, Quantity.TEST_VOLTAGE, Unit.VOLT));
    BigDecimal spread = Figures.percent(Collections.max(volts), Collections.min(volts));
    if (spread.compareTo(VOLTAGE_SPREAD) > 0) {
      throw new UndecidableException(
          ("the test voltages %s, %s and %s V differ by more than %s %%, and the currents compare at"
                  + " one voltage only: take all three again at the same voltage")
              .formatted(
                  volts.get(0).toPlainString(),
                  volts.get(1).toPlainString(),
                  volts.get(2).toPlainString(),
                  VOLTAGE_SPREAD));
    }
  }

  private Optional<Finding> centreLimb(List<Drawn> drawn) {
    boolean known = LeadPlan.of(nameplate.group()).namesTheLimb();
    Drawn lowest = drawn.get(2);
    boolean centreLowest =
        lowest.phase().equals("B") && lowest.current().compareTo(drawn.get(1).current()) < 0;
    if (!known || centreLowest) {
      return Optional.empty();
    }
    return Optional.of(
        new Finding(
            lowest.phase(),
            ("Phase B, on the centre limb of a three-limb core, does not draw the lowest current."
                + " Another form of core, a magnetised core or leads mixed up show this:"
                + " compare with earlier records of this unit, and check the leads.")));
  }

  private static Finding magnetised(BookedReading direct) {
    return new Finding(
        Finding.ALL,
        ("A direct-current reading (%s) came before these: residual magnetism may falsify them. If"
                + " they look odd, demagnetise the core and take all three again; measure"
                + " excitation before resistance.")
            .formatted(direct.step().id()));
  }
}
