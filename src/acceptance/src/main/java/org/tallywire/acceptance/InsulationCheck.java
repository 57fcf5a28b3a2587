package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.util.List;
import org.tallywire.acceptance.Question.Answer;
import org.tallywire.acceptance.related.InsulationTemperature;
import org.tallywire.acceptance.resistance.Celsius;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/**
 * Holds an insulation resistance after one minute, brought to the temperature of the table's
 * correction, against its least value, which is the expected one.
 */
record InsulationCheck(Criterion criterion, Case judged) implements Check {

  /** What to do first after every insulation test. Source: IEEE 43 (memory). */
  static final String DISCHARGE =
      "First discharge the winding through the tester, and keep it shorted to earth for at least as"
          + " long as the test voltage was on; four times as long is often asked. ";

  private static final String WHAT = "insulation resistance";

  @Override
  public List<Answer> examine(BookedReading newest, Evidence evidence) {
    if (!newest.step().test().equals(Step.INSULATION_RESISTANCE)) {
      return List.of();
    }
    Question question = judged.about(criterion, newest, Unit.MEGOHM);
    Answer answer;
    try {
      answer = answer(question, newest);
    } catch (UndecidableException e) {
      answer = question.undecided(List.of(), WHAT, e);
    }
    return List.of(answer.then(DISCHARGE + answer.next()));
  }

  private Answer answer(Question question, BookedReading booked) throws UndecidableException {
    BigDecimal megohms = Figures.positive(booked, Quantity.INSULATION_RESISTANCE, Unit.MEGOHM);
    BigDecimal celsius = temperature(booked);
    BigDecimal corrected = correction().corrected(megohms, celsius);
    boolean failed = question.state(corrected).failed();
    Answer answer =
        question.decided(
            corrected,
            question.limit(),
            corrected,
            failed ? List.of(low()) : List.of(),
            "insulation resistance %s MΩ at %s °C%s is %s MΩ at %s °C (least %s MΩ): %s."
                .formatted(
                    Figures.shown(megohms),
                    celsius.toPlainString(),
                    voltage(booked),
                    Figures.bare(new BigDecimal(Figures.shown(corrected, question))),
                    correction().reference().toPlainString(),
                    Figures.bare(question.limit()),
                    Figures.words(question.state(corrected), question)));
    return failed
        ? answer.then("Then clean and dry bushings and leads, check the guard, and take it again.")
        : answer;
  }

  private InsulationTemperature correction() {
    return switch (criterion.word(Criterion.CORRECTION)) {
      case "oil-filled" -> InsulationTemperature.OIL_FILLED_TABLE;
      case "halving" -> InsulationTemperature.OIL_FILLED_HALVING;
      default -> InsulationTemperature.ROTATING_HALVING;
    };
  }

  private BigDecimal temperature(BookedReading booked) throws UndecidableException {
    BigDecimal celsius = Figures.number(booked, Quantity.WINDING_TEMPERATURE, Unit.CELSIUS);
    if (!Celsius.plausible(celsius)) {
      throw new UndecidableException(
          "the winding temperature is %s °C, not %s"
              .formatted(celsius.toPlainString(), Celsius.RANGE),
          "Check the temperature sensor, and take it again.");
    }
    if (!correction().covers(celsius)) {
      throw new UndecidableException(
          "the winding temperature is %s °C, and the rule %s of the table does not go so far"
              .formatted(celsius.toPlainString(), criterion.word(Criterion.CORRECTION)),
          "Take it again at a temperature nearer to %s °C."
              .formatted(correction().reference().toPlainString()));
    }
    return celsius;
  }

  /** Returns the test voltage for the sentence, if the reading has it. */
  private static String voltage(BookedReading booked) {
    return booked
        .reading()
        .measured(Quantity.TEST_VOLTAGE)
        .flatMap((Value.Measured m) -> m.in(Unit.VOLT))
        .filter(
            volts -> volts.signum() > 0 && volts.precision() <= 12 && Math.abs(volts.scale()) <= 12)
        .map(volts -> " and " + Figures.shown(volts) + " V")
        .orElse("");
  }

  private static Finding low() {
    return Finding.hint(
        Finding.ALL,
        "It may be moisture or dirt on the bushings, moisture in oil or paper, a lead that touches"
            + " the tank, or a fault of the insulation.");
  }
}
