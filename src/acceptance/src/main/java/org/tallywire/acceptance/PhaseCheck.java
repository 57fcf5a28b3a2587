package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.ArrayList;
import java.util.List;
import org.tallywire.acceptance.Question.Answer;
import org.tallywire.acceptance.Verdict.State;
import org.tallywire.acceptance.winding.Observation.Sense;
import org.tallywire.acceptance.winding.WindingGroup.Connection;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;

/**
 * Holds the phase displacement of a pair of windings against zero. No standard for power
 * transformers has a limit for it; the table's is common practice. An instrument may count from 0
 * to 360 degrees or from -180 to 180.
 */
record PhaseCheck(Criterion criterion, Case judged) implements Check {

  static final BigDecimal FULL_TURN = BigDecimal.valueOf(360);
  private static final BigDecimal HALF_TURN = BigDecimal.valueOf(180);

  /** From here on to 180 degrees a pair is taken for reversed (common practice). */
  private static final BigDecimal REVERSED = BigDecimal.valueOf(170);

  private static final BigDecimal ADDITIVE_UP_TO_KVA = BigDecimal.valueOf(200);
  private static final BigDecimal ADDITIVE_UP_TO_VOLT = BigDecimal.valueOf(8660);

  @Override
  public List<Answer> examine(BookedReading newest, Evidence evidence) {
    return newest.step().test().equals(Step.TURNS_RATIO) ? List.of(answer(newest)) : List.of();
  }

  private Answer answer(BookedReading booked) {
    Question question = judged.about(criterion, booked, Unit.DEGREE);
    try {
      BigDecimal measured = Figures.number(booked, Quantity.PHASE_DISPLACEMENT, Unit.DEGREE);
      BigDecimal displacement = fromZero(measured);
      State state = question.state(displacement);
      boolean reversed = displacement.abs().compareTo(REVERSED) >= 0;
      String sentence =
          "phase displacement "
              + measured.toPlainString()
              + " degrees (limit ±"
              + Figures.bare(question.limit())
              + " degrees): "
              + Figures.words(state, question)
              + (state.failed() && reversed ? "; the pairs are in opposition." : ".");
      Answer answer =
          question.decided(
              measured,
              BigDecimal.ZERO,
              displacement,
              findings(booked, measured, displacement, state),
              sentence);
      return state == State.FAIL ? answer.then(next(booked)) : answer;
    } catch (UndecidableException e) {
      return question.undecided(List.of(), "phase displacement", e);
    }
  }

  /** Returns the same angle between -180 and 180 degrees. */
  static BigDecimal fromZero(BigDecimal degrees) throws UndecidableException {
    if (degrees.abs().compareTo(FULL_TURN) > 0) {
      throw new UndecidableException(
          "the phase-displacement is %s degrees, beyond a full turn"
              .formatted(degrees.toPlainString()),
          "Check the instrument's driver, and take it again.");
    }
    if (degrees.abs().compareTo(HALF_TURN) <= 0) {
      return degrees;
    }
    return degrees.signum() > 0 ? degrees.subtract(FULL_TURN) : degrees.add(FULL_TURN);
  }

  private List<Finding> findings(
      BookedReading booked, BigDecimal measured, BigDecimal displacement, State state) {
    List<Finding> findings = new ArrayList<>();
    if (state.failed()) {
      findings.addAll(
          displacement.abs().compareTo(REVERSED) >= 0
              ? inOpposition(booked, measured)
              : outOfPhase(booked));
    }
    if (judged.nameplate().group().hv() == Connection.SINGLE) {
      Sense.ofDegrees(displacement)
          .ifPresent(sense -> findings.addAll(polarity(booked, sense == Sense.IN_PHASE)));
    }
    return findings;
  }

  private static List<Finding> inOpposition(BookedReading booked, BigDecimal measured) {
    String phase = booked.step().phase();
    return List.of(
        Finding.seen(
            phase,
            "At %s degrees the HV and the LV pair of phase %s are in opposition."
                .formatted(measured.toPlainString(), phase)),
        Finding.hint(
            phase,
            ("One pair of leads is probably reversed: check them against %s. If they are right, a"
                    + " winding is reversed or the group on the nameplate is wrong.")
                .formatted(booked.step().terminals())));
  }

  private static List<Finding> outOfPhase(BookedReading booked) {
    String phase = booked.step().phase();
    return List.of(
        Finding.hint(
            phase,
            ("Phase %s is not in phase: the two pairs may not belong together, or the core is"
                    + " magnetised or a turn shorted: check the leads against %s and the group on"
                    + " the nameplate, and take it again.")
                .formatted(phase, booked.step().terminals())));
  }

  /**
   * Says the polarity of a single-phase unit. Sources: IEEE C57.12.80-1978 for the two words
   * (found); C57.12.00-2010 for which units are additive (found, as quoted elsewhere); that group
   * Ii0 is subtractive and Ii6 additive (derived).
   */
  private List<Finding> polarity(BookedReading booked, boolean inPhase) {
    Nameplate plate = judged.nameplate();
    boolean subtractive = inPhase == (plate.group().hour() == 0);
    String phase = booked.step().phase();
    List<Finding> findings = new ArrayList<>();
    findings.add(
        Finding.seen(
            phase,
            "The polarity is %s: with 1.1 and 2.1 joined and HV excited, 1.2 to 2.2 has the HV voltage %s that of LV%s."
                .formatted(
                    subtractive ? "subtractive" : "additive",
                    subtractive ? "less" : "plus",
                    joinedVoltage(booked, subtractive))));
    boolean usuallyAdditive =
        plate.ratedPower().compareTo(ADDITIVE_UP_TO_KVA) <= 0
            && plate.hvVoltage().compareTo(ADDITIVE_UP_TO_VOLT) <= 0;
    if (usuallyAdditive == subtractive) {
      findings.add(
          Finding.hint(
              phase,
              ("By IEEE C57.12.00-2010 a single-phase unit of this size would be %s (additive up to"
                      + " 200 kVA with HV up to 8660 V): follow its nameplate, and compare before it"
                      + " runs in parallel with another.")
                  .formatted(usuallyAdditive ? "additive" : "subtractive")));
    }
    return findings;
  }

  private static String joinedVoltage(BookedReading booked, boolean subtractive) {
    try {
      BigDecimal excited = Figures.positive(booked, Quantity.TEST_VOLTAGE, Unit.VOLT);
      BigDecimal ratio = Figures.positive(booked, Quantity.TURNS_RATIO, Unit.ONE);
      BigDecimal lv = excited.divide(ratio, MathContext.DECIMAL128);
      BigDecimal joined = subtractive ? excited.subtract(lv) : excited.add(lv);
      return ", here %s V at %s V".formatted(Figures.shown(joined), Figures.shown(excited));
    } catch (UndecidableException e) {
      return "";
    }
  }

  private static String next(BookedReading booked) {
    return "Switch the test voltage off, check both pairs of leads against %s, and take it again."
        .formatted(booked.step().terminals());
  }
}
