package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.tallywire.acceptance.Criterion.Kind;
import org.tallywire.acceptance.Question.Allowance;
import org.tallywire.acceptance.resistance.Celsius;
import org.tallywire.acceptance.resistance.Unbalance;
import org.tallywire.acceptance.uncertainty.Accuracy;
import org.tallywire.acceptance.uncertainty.Budget;
import org.tallywire.acceptance.uncertainty.Component;
import org.tallywire.acceptance.uncertainty.Uncertainty;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/**
 * Computes the uncertainty to allow for from the accuracies of the instruments, for a criterion
 * that states none (GUM 5.1; every sensitivity here is derived).
 *
 * <p>A reading has up to three components: the accuracy of its quantity, the resolution (half of
 * its last digit, rectangular), and the repeatability if it was measured. The criterion's kind says
 * how far its figure goes with the reading:
 *
 * <ul>
 *   <li>Of a ratio 100 / expected; of a phase displacement 1.
 *   <li>Of a figure that is relative to something else, 100 + limit over the reading: what a
 *       relative uncertainty is worth where it decides, at the limit.
 *   <li>Of a figure in its own unit, limit over the reading, for the same reason.
 *   <li>A comparison takes the most uncertain of its readings for each of the two compared, as if
 *       they had nothing in common (√2). They do have: one instrument's gain falls out of a
 *       difference. How much of the accuracy that is no data sheet tells, so nothing is taken off;
 *       who knows states the criterion's uncertainty.
 *   <li>Only a settling takes nothing but resolution and repeatability: its readings are of one run
 *       of one instrument on one range, and gain and offset are the same in all of them.
 *   <li>A resistance brought to another temperature goes with 1 / (T_k + θ) for one kelvin. The
 *       value it is compared with counts as exact.
 *   <li>Phases that are computed from resistances between lines differ by twice as many per cent as
 *       those, in star as in delta, and so are twice as uncertain.
 *   <li>An insulation resistance goes with at most 0.0785 for one kelvin, the steepest step of the
 *       table for oil-filled units (10 to 15 °C); halving for 10 K has 0.0693.
 *   <li>Of a short-circuit impedance the temperature is left out: only the square of its resistive
 *       part goes with it, less than 0.03 % for one kelvin where r is a quarter of z.
 * </ul>
 *
 * <p>Expanded for 95.45 %, rounded to 6 decimals, the coverage factor to 4, so that it can be
 * derived again to the last digit. A reading without a number adds nothing; it makes the verdict
 * undecided anyway.
 */
final class InstrumentBudget {

  private static final BigDecimal TWO = BigDecimal.valueOf(2);
  private static final BigDecimal HUNDRED = BigDecimal.valueOf(100);
  private static final BigDecimal OF_TWO = TWO.sqrt(MathContext.DECIMAL128);

  /** √(2/3): of the farthest from the mean of three, 2/3 of its own and 1/3 of each other. */
  private static final BigDecimal FROM_MEAN =
      TWO.divide(BigDecimal.valueOf(3), MathContext.DECIMAL128).sqrt(MathContext.DECIMAL128);

  /** ln(0.74 / 0.50) / 5, rounded up. */
  private static final BigDecimal INSULATION_PER_KELVIN = new BigDecimal("0.0785");

  private static final int DECIMALS = 6;

  /** Digits beyond which a number is refused by the checks too. */
  private static final int MOST_DIGITS = 64;

  private final Case judged;
  private final Criterion criterion;
  private final BigDecimal limit;

  private InstrumentBudget(Case judged, Criterion criterion, BigDecimal limit) {
    this.judged = judged;
    this.criterion = criterion;
    this.limit = limit;
  }

  /** Returns the quantities whose accuracy makes the uncertainty of a kind of criterion. */
  static List<Quantity> quantities(Kind kind) {
    return switch (kind) {
      case RATIO_DEVIATION, RATIO_SPREAD, RATIO_STEPS, RATIO_CHANGE, WINDING_GROUP ->
          List.of(Quantity.TURNS_RATIO);
      case PHASE_DISPLACEMENT -> List.of(Quantity.PHASE_DISPLACEMENT);
      case EXCITATION_PATTERN -> List.of(Quantity.EXCITATION_CURRENT);
      case RESISTANCE_DEVIATION, RESISTANCE_UNBALANCE ->
          List.of(Quantity.WINDING_RESISTANCE, Quantity.WINDING_TEMPERATURE);
      case RESISTANCE_SETTLING -> List.of(Quantity.WINDING_RESISTANCE);
      case TEST_CURRENT -> List.of(Quantity.TEST_CURRENT);
      case INSULATION_RESISTANCE ->
          List.of(Quantity.INSULATION_RESISTANCE, Quantity.WINDING_TEMPERATURE);
      case POLARISATION_INDEX, ABSORPTION_RATIO -> List.of(Quantity.INSULATION_RESISTANCE);
      case SHORT_CIRCUIT_IMPEDANCE ->
          List.of(Quantity.SHORT_CIRCUIT_VOLTAGE, Quantity.SHORT_CIRCUIT_CURRENT);
    };
  }

  /**
   * Returns the allowance for a figure that is made of the given readings.
   *
   * @param readings that are judged or compared
   * @param limit that holds for the figure
   */
  static Allowance allowance(
      Case judged, Criterion criterion, List<BookedReading> readings, BigDecimal limit) {
    InstrumentBudget budget = new InstrumentBudget(judged, criterion, limit);
    BigDecimal lowest = lowestExpected(readings);
    Optional<Uncertainty> worst = Optional.empty();
    for (BookedReading booked : readings) {
      List<Component> components = budget.components(booked, lowest);
      if (!components.isEmpty()) {
        Uncertainty one = Budget.of(components).combine();
        if (worst.isEmpty() || one.expanded().compareTo(worst.get().expanded()) > 0) {
          worst = Optional.of(one);
        }
      }
    }
    return worst
        .map(
            most ->
                new Allowance(
                    most.expanded().setScale(DECIMALS, RoundingMode.HALF_EVEN),
                    most.coverageFactor()))
        .orElse(new Allowance(BigDecimal.ZERO, Allowance.TWO));
  }

  private List<Component> components(BookedReading booked, BigDecimal lowest) {
    List<Component> parts = new ArrayList<>();
    switch (criterion.kind()) {
      case RATIO_DEVIATION, WINDING_GROUP ->
          ratio(parts, booked, booked.step().expected(), BigDecimal.ONE);
      case RATIO_SPREAD -> ratio(parts, booked, booked.step().expected(), OF_TWO);
      case RATIO_STEPS ->
          ratio(parts, booked, Optional.of(lowest).filter(l -> l.signum() > 0), OF_TWO);
      case RATIO_CHANGE ->
          ratio(
              parts,
              booked,
              Optional.ofNullable(judged.nameplate().earlierRatios().get(booked.step().id())),
              OF_TWO);
      case PHASE_DISPLACEMENT ->
          figure(booked, Quantity.PHASE_DISPLACEMENT, Unit.DEGREE)
              .ifPresent(f -> add(parts, f, BigDecimal.ONE, true));
      case EXCITATION_PATTERN ->
          relative(parts, booked, Quantity.EXCITATION_CURRENT, Unit.MILLIAMPERE, deviation(OF_TWO));
      case RESISTANCE_DEVIATION -> resistance(parts, booked, deviation(BigDecimal.ONE));
      case RESISTANCE_UNBALANCE -> resistance(parts, booked, deviation(unbalance()));
      case RESISTANCE_SETTLING ->
          figure(booked, Quantity.WINDING_RESISTANCE, Unit.OHM)
              .filter(f -> f.number().signum() != 0)
              .ifPresent(f -> add(parts, f, over(HUNDRED.multiply(OF_TWO), f), false));
      case TEST_CURRENT -> relative(parts, booked, Quantity.TEST_CURRENT, Unit.AMPERE, limit);
      case INSULATION_RESISTANCE -> insulation(parts, booked);
      case POLARISATION_INDEX, ABSORPTION_RATIO ->
          relative(
              parts, booked, Quantity.INSULATION_RESISTANCE, Unit.MEGOHM, limit.multiply(OF_TWO));
      case SHORT_CIRCUIT_IMPEDANCE -> {
        BigDecimal scale = deviation(BigDecimal.ONE);
        relative(parts, booked, Quantity.SHORT_CIRCUIT_VOLTAGE, Unit.VOLT, scale);
        relative(parts, booked, Quantity.SHORT_CIRCUIT_CURRENT, Unit.AMPERE, scale);
      }
    }
    return parts;
  }

  /** Returns what all of a reading is worth in % where it decides, so many times. */
  private BigDecimal deviation(BigDecimal times) {
    return HUNDRED.add(limit).multiply(times);
  }

  private BigDecimal unbalance() {
    BigDecimal ofLines =
        criterion.word(Criterion.DEFINITION).equals(Unbalance.FARTHEST_FROM_MEAN.word())
            ? FROM_MEAN
            : OF_TWO;
    return criterion.word(Criterion.OF).equals("phases") ? ofLines.multiply(TWO) : ofLines;
  }

  /** Adds a ratio, in % of the reference; of itself where there is none. */
  private void ratio(
      List<Component> parts,
      BookedReading booked,
      Optional<BigDecimal> reference,
      BigDecimal times) {
    figure(booked, Quantity.TURNS_RATIO, Unit.ONE)
        .ifPresent(
            f -> {
              BigDecimal whole = reference.orElse(f.number().abs());
              if (whole.signum() > 0) {
                add(parts, f, HUNDRED.multiply(times).divide(whole, MathContext.DECIMAL128), true);
              }
            });
  }

  private void relative(
      List<Component> parts, BookedReading booked, Quantity quantity, Unit unit, BigDecimal scale) {
    figure(booked, quantity, unit)
        .filter(f -> f.number().signum() != 0)
        .ifPresent(f -> add(parts, f, over(scale, f), true));
  }

  private void resistance(List<Component> parts, BookedReading booked, BigDecimal scale) {
    relative(parts, booked, Quantity.WINDING_RESISTANCE, Unit.OHM, scale);
    Optional<BigDecimal> constant =
        switch (booked.step().windings()) {
          case Step.HV ->
              Optional.of(judged.table().conductors().of(judged.nameplate().hvConductor()));
          case Step.LV ->
              Optional.of(judged.table().conductors().of(judged.nameplate().lvConductor()));
          default -> Optional.empty();
        };
    temperature(booked)
        .ifPresent(
            f ->
                constant
                    .map(f.number()::add)
                    .filter(kelvin -> kelvin.signum() > 0)
                    .ifPresent(
                        kelvin ->
                            add(parts, f, scale.divide(kelvin, MathContext.DECIMAL128), true)));
  }

  private void insulation(List<Component> parts, BookedReading booked) {
    relative(parts, booked, Quantity.INSULATION_RESISTANCE, Unit.MEGOHM, limit);
    temperature(booked).ifPresent(f -> add(parts, f, limit.multiply(INSULATION_PER_KELVIN), true));
  }

  private static Optional<Figure> temperature(BookedReading booked) {
    return figure(booked, Quantity.WINDING_TEMPERATURE, Unit.CELSIUS)
        .filter(f -> Celsius.plausible(f.number()));
  }

  private static BigDecimal over(BigDecimal scale, Figure figure) {
    return scale.divide(figure.number().abs(), MathContext.DECIMAL128);
  }

  /** Adds what makes one figure of a reading uncertain. */
  private void add(
      List<Component> parts, Figure figure, BigDecimal sensitivity, boolean withAccuracy) {
    String quantity = figure.quantity().name();
    Accuracy accuracy = judged.table().accuracies().get(quantity);
    if (withAccuracy && accuracy != null) {
      parts.add(
          accuracy
              .component("accuracy of " + quantity, figure.number(), figure.lastDigit())
              .withSensitivity(sensitivity));
    }
    parts.add(
        Component.resolution("resolution of " + quantity, figure.lastDigit())
            .withSensitivity(sensitivity));
    Repeatability repeatability = judged.table().repeatability().get(quantity);
    if (repeatability != null) {
      parts.add(
          repeatability
              .component("repeatability of " + quantity, figure.number())
              .withSensitivity(sensitivity));
    }
  }

  private static BigDecimal lowestExpected(List<BookedReading> readings) {
    BigDecimal lowest = BigDecimal.ZERO;
    for (BookedReading booked : readings) {
      BigDecimal expected = booked.step().expected().orElse(BigDecimal.ZERO);
      if (lowest.signum() == 0 || (expected.signum() > 0 && expected.compareTo(lowest) < 0)) {
        lowest = expected;
      }
    }
    return lowest;
  }

  /** Returns the number of a quantity with its last digit, if the reading has a usable one. */
  private static Optional<Figure> figure(BookedReading booked, Quantity quantity, Unit unit) {
    return booked
        .reading()
        .measured(quantity)
        .filter(m -> m.unit().converts(unit))
        .filter(m -> m.number().precision() <= MOST_DIGITS)
        .filter(m -> Math.abs((long) m.number().scale()) <= MOST_DIGITS)
        .map(m -> figure(m, unit));
  }

  private static Figure figure(Value.Measured measured, Unit unit) {
    return new Figure(
        measured.quantity(),
        measured.unit().convert(measured.number(), unit),
        measured.unit().convert(measured.number().ulp(), unit));
  }

  /** A number of a reading in the unit it is judged in, with the worth of its last digit. */
  private record Figure(Quantity quantity, BigDecimal number, BigDecimal lastDigit) {}
}
