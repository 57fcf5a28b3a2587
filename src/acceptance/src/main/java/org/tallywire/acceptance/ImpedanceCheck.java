package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.util.List;
import java.util.Optional;
import org.tallywire.acceptance.Question.Answer;
import org.tallywire.acceptance.related.Rating;
import org.tallywire.acceptance.related.ShortCircuitImpedance;
import org.tallywire.acceptance.winding.WindingGroup.Connection;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;

/**
 * Holds a short-circuit impedance, in percent and measured from the HV side at any current, against
 * that of the plate. Where the reading has loss and temperature, and both windings are of one
 * conductor, it is brought to the reference temperature; else it stays as it was measured.
 */
record ImpedanceCheck(Criterion criterion, Case judged) implements Check {

  private static final String WHAT = "short-circuit impedance";

  /** An impedance and what the sentence says of its temperature. */
  private record At(ShortCircuitImpedance impedance, String words) {}

  @Override
  public List<Answer> examine(BookedReading newest, Evidence evidence) {
    Step step = newest.step();
    if (!step.test().equals(Step.SHORT_CIRCUIT_IMPEDANCE) || step.expected().isEmpty()) {
      return List.of();
    }
    BigDecimal plate = step.expected().get();
    Question question =
        judged.question(
            criterion, step.id(), List.of(newest), Unit.PERCENT, limit(criterion, plate));
    try {
      return List.of(answer(question, newest, plate));
    } catch (UndecidableException e) {
      return List.of(question.undecided(List.of(), WHAT, e));
    }
  }

  /** Returns the limit in % that holds for an impedance in %. */
  static BigDecimal limit(Criterion criterion, BigDecimal plate) {
    return criterion.number(
        plate.compareTo(criterion.number(Criterion.THRESHOLD)) >= 0
            ? Criterion.LIMIT_FROM
            : Criterion.LIMIT_BELOW);
  }

  private Answer answer(Question question, BookedReading booked, BigDecimal plate)
      throws UndecidableException {
    BigDecimal volts = Figures.positive(booked, Quantity.SHORT_CIRCUIT_VOLTAGE, Unit.VOLT);
    BigDecimal amperes = Figures.positive(booked, Quantity.SHORT_CIRCUIT_CURRENT, Unit.AMPERE);
    At measured = measured(booked, volts, amperes);
    BigDecimal deviation = measured.impedance().deviation(plate);
    boolean failed = question.state(deviation).failed();
    Answer answer =
        question.decided(
            Figures.computed(measured.impedance().impedance()),
            plate,
            deviation,
            failed ? List.of(finding(deviation)) : List.of(),
            "impedance %s %% from %s V at %s A%s is %s %% from %s %% (limit ±%s %%): %s."
                .formatted(
                    Figures.shown(measured.impedance().impedance()),
                    Figures.shown(volts),
                    Figures.shown(amperes),
                    measured.words(),
                    Figures.signed(deviation, question),
                    Figures.bare(plate),
                    Figures.bare(question.limit()),
                    Figures.words(question.state(deviation), question)));
    return failed
        ? answer.then(
            "With the unit de-energised and earthed check the tap position, the short on the LV"
                + " terminals and the supply's connections, and take it again.")
        : answer;
  }

  private At measured(BookedReading booked, BigDecimal volts, BigDecimal amperes)
      throws UndecidableException {
    Nameplate plate = judged.nameplate();
    Rating rating =
        new Rating(
            plate.group().hv() != Connection.SINGLE,
            plate.ratedPower().movePointRight(3),
            plate.hvVoltage());
    if (booked.reading().measured(Quantity.SHORT_CIRCUIT_LOSS).isEmpty()) {
      return new At(measured(rating, volts, amperes, BigDecimal.ZERO), " as measured");
    }
    BigDecimal watts = Figures.number(booked, Quantity.SHORT_CIRCUIT_LOSS, Unit.WATT);
    ShortCircuitImpedance impedance = measured(rating, volts, amperes, watts);
    if (booked.reading().measured(Quantity.WINDING_TEMPERATURE).isEmpty()
        || plate.hvConductor() != plate.lvConductor()) {
      return new At(impedance, " as measured");
    }
    BigDecimal celsius = judged.correction().temperature(booked);
    return new At(
        impedance.atTemperature(
            judged.table().conductors().of(plate.hvConductor()),
            celsius,
            plate.referenceTemperature()),
        " and %s °C, at %s,"
            .formatted(celsius.toPlainString(), judged.correction().referenceText()));
  }

  private static ShortCircuitImpedance measured(
      Rating rating, BigDecimal volts, BigDecimal amperes, BigDecimal watts)
      throws UndecidableException {
    try {
      return ShortCircuitImpedance.measured(rating, volts, amperes, watts);
    } catch (IllegalArgumentException e) {
      throw new UndecidableException(
          Optional.ofNullable(e.getMessage()).orElse("the numbers cannot be"),
          "With the supply off check the wattmeter's connections and ratios, and take it again.");
    }
  }

  private static Finding finding(BigDecimal deviation) {
    return Finding.hint(
        Finding.ALL,
        deviation.signum() > 0
            ? "It is higher than the plate's: it may be a poor short on the LV terminals, another"
                + " tap than the principal one, or a winding that moved."
            : "It is lower than the plate's: it may be another tap than the principal one, shorted"
                + " turns, or voltage and current of different phases.");
  }
}
