package org.tallywire.testset;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;
import java.time.Instant;
import java.time.LocalDate;
import java.time.ZoneOffset;
import java.util.ArrayList;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import org.tallywire.acceptance.Verdict;
import org.tallywire.acceptance.uncertainty.Accuracy;
import org.tallywire.acceptance.uncertainty.Bound;
import org.tallywire.acceptance.uncertainty.Budget;
import org.tallywire.acceptance.uncertainty.Component;
import org.tallywire.acceptance.uncertainty.Decision;
import org.tallywire.api.Instrument;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.RecordedReading;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/**
 * Holds readings of an instrument against a reference standard. Deviation, limit and uncertainty
 * are in % of the standard's value, so that those of different standards can be compared, rounded
 * to 6 decimals before the decision, so that the record alone shows how it came about.
 *
 * <p>The limit is what the instrument's accuracy allows at the standard's value. The uncertainty is
 * combined (GUM 5.1, for 95.45 %) from the standard's certificate, what its temperature makes of
 * it, the resolution of the reading, and, of two readings or more, the scatter of their mean; the
 * instrument's own accuracy is what is in question and no part of it. With a guard band of the
 * whole uncertainty it passes or fails; between the two nothing is decided.
 *
 * @param accuracy in the unit of the standard's kind
 * @param temperature of the standard, if it was measured
 */
public record VerificationRule(
    ReferenceStandard standard, Accuracy accuracy, Optional<Temperature> temperature) {

  /**
   * A temperature that was measured.
   *
   * @param celsius in °C
   * @param within how many kelvin it may be wrong, not negative
   */
  public record Temperature(BigDecimal celsius, BigDecimal within) {}

  private static final MathContext DIGITS = MathContext.DECIMAL128;
  private static final MathContext SHOWN = new MathContext(10);
  private static final BigDecimal HUNDRED = BigDecimal.valueOf(100);
  private static final BigDecimal MILLION = BigDecimal.valueOf(1_000_000);
  private static final int DECIMALS = 6;
  private static final Decision DECISION = Decision.guarded(BigDecimal.ONE);

  /** Returns what keeps readings from being held against the standard, a sentence each. */
  public List<String> objections(List<RecordedReading> readings) {
    List<String> objections = new ArrayList<>();
    if (readings.isEmpty()) {
      objections.add("There is no reading to hold against the standard.");
    }
    Quantity quantity = standard.kind().quantity();
    Set<String> ids = new LinkedHashSet<>();
    Instrument first = readings.isEmpty() ? Instrument.UNNAMED : instrument(readings.get(0));
    for (RecordedReading one : readings) {
      if (!ids.add(one.id())) {
        objections.add("Reading %s is named twice.".formatted(one.id()));
      }
      Optional<Value> value = one.reading().value(quantity);
      if (value.isEmpty()) {
        objections.add("Reading %s has no %s.".formatted(one.id(), quantity));
      } else if (!value.get().unit().converts(standard.kind().unit())) {
        objections.add(
            "Reading %s has its %s in %s, which does not convert to %s."
                .formatted(one.id(), quantity, value.get().unit(), standard.kind().unit()));
      }
      if (!instrument(one).identified()) {
        objections.add(
            "The instrument of reading %s tells no serial number, so that nothing can be said of it"
                    .formatted(one.id())
                + " later.");
      } else if (!InstrumentStanding.unknown(first).of(instrument(one))) {
        objections.add(
            "Reading %s is of instrument %s, not of %s as the first."
                .formatted(one.id(), instrument(one).serial(), first.serial()));
      }
    }
    return objections;
  }

  /**
   * Returns what comes of it.
   *
   * @param readings to which there is no objection, in the order they were taken
   * @throws IllegalArgumentException if there is one
   */
  public InstrumentEvent.Verified verify(List<RecordedReading> readings, String by, Instant at) {
    List<String> objections = objections(readings);
    if (!objections.isEmpty()) {
      throw new IllegalArgumentException(String.join(" ", objections));
    }
    List<BigDecimal> shown = shown(readings);
    BigDecimal lastDigit = lastDigit(shown);
    BigDecimal expected = expected();
    BigDecimal limit = percent(accuracy.at(expected, lastDigit));
    BigDecimal uncertainty = uncertainty(shown, lastDigit);
    Optional<String> doubt = doubt(readings);
    Optional<BigDecimal> measured =
        shown.size() == readings.size() ? Optional.of(mean(shown)) : Optional.empty();
    Optional<BigDecimal> deviation = measured.map(m -> percent(m.subtract(expected)));
    Verdict.State state =
        doubt.isPresent() || deviation.isEmpty()
            ? Verdict.State.UNDECIDED
            : decide(deviation.get(), limit, uncertainty);
    String figures = figures(readings, measured, deviation, limit, uncertainty);
    String outcome = doubt.orElseGet(() -> outcome(deviation, limit, uncertainty, state));
    return new InstrumentEvent.Verified(
        readings.get(0).station(),
        at,
        by,
        instrument(readings.get(0)),
        standard.name(),
        standard.serial(),
        standard.kind().quantity(),
        standard.kind().unit(),
        expected,
        measured,
        deviation,
        limit,
        Unit.PERCENT,
        uncertainty,
        state,
        readings.stream().map(RecordedReading::id).toList(),
        figures + " " + outcome);
  }

  /** Returns what the standard has at its temperature, in the unit of its kind. */
  BigDecimal expected() {
    BigDecimal value = inKind(standard.value());
    if (standard.warmth().isEmpty() || temperature.isEmpty()) {
      return value;
    }
    ReferenceStandard.Warmth warmth = standard.warmth().get();
    BigDecimal kelvin = temperature.get().celsius().subtract(warmth.reference());
    BigDecimal part = warmth.coefficient().multiply(kelvin).divide(MILLION, DIGITS);
    return value.multiply(BigDecimal.ONE.add(part)).round(SHOWN);
  }

  private BigDecimal inKind(BigDecimal figure) {
    return standard.unit().convert(figure, standard.kind().unit());
  }

  private BigDecimal percent(BigDecimal figure) {
    return figure
        .multiply(HUNDRED)
        .divide(expected(), DIGITS)
        .setScale(DECIMALS, RoundingMode.HALF_EVEN);
  }

  /** Returns the numbers that were shown, in the unit of the kind; none for one without number. */
  private List<BigDecimal> shown(List<RecordedReading> readings) {
    return readings.stream()
        .flatMap(one -> one.reading().measured(standard.kind().quantity()).stream())
        .flatMap(value -> value.in(standard.kind().unit()).stream())
        .toList();
  }

  private static BigDecimal lastDigit(List<BigDecimal> shown) {
    return shown.stream().map(BigDecimal::ulp).max(BigDecimal::compareTo).orElse(BigDecimal.ZERO);
  }

  /** Two digits more than the readings have, of more than one. */
  private static BigDecimal mean(List<BigDecimal> shown) {
    if (shown.size() == 1) {
      return shown.get(0);
    }
    int scale = shown.stream().mapToInt(BigDecimal::scale).max().orElse(0) + 2;
    return shown.stream()
        .reduce(BigDecimal.ZERO, BigDecimal::add)
        .divide(BigDecimal.valueOf(shown.size()), scale, RoundingMode.HALF_EVEN);
  }

  private BigDecimal uncertainty(List<BigDecimal> shown, BigDecimal lastDigit) {
    List<Component> components = new ArrayList<>();
    components.add(
        Component.normal("standard", inKind(standard.uncertainty()), standard.coverageFactor()));
    standard
        .warmth()
        .ifPresent(
            warmth -> {
              BigDecimal kelvin = temperature.map(Temperature::within).orElse(warmth.within());
              BigDecimal half =
                  warmth
                      .coefficient()
                      .abs()
                      .multiply(kelvin)
                      .multiply(expected())
                      .divide(MILLION, DIGITS);
              components.add(Component.rectangular("temperature of the standard", half));
            });
    components.add(Component.resolution("resolution", lastDigit));
    if (shown.size() > 1) {
      components.add(Component.repeated("scatter", shown));
    }
    return percent(Budget.of(components).combine().expanded());
  }

  private static Verdict.State decide(
      BigDecimal deviation, BigDecimal limit, BigDecimal uncertainty) {
    return switch (DECISION.decide(deviation, limit, uncertainty, Bound.WITHIN)) {
      case PASS -> Verdict.State.PASS;
      case FAIL -> Verdict.State.FAIL;
      case CONDITIONAL_PASS, CONDITIONAL_FAIL -> Verdict.State.UNDECIDED;
    };
  }

  /** Returns why nothing can be decided whatever the figures are, if so. */
  private Optional<String> doubt(List<RecordedReading> readings) {
    for (RecordedReading one : readings) {
      Reading reading = one.reading();
      if (reading.value(standard.kind().quantity()).orElseThrow() instanceof Value.Missing none) {
        return Optional.of(
            "Undecided: the instrument gives no number (%s).".formatted(none.reason().word()));
      }
      if (reading.status() != Reading.Status.OK) {
        return Optional.of(
            "Undecided: the instrument itself calls reading %s %s."
                .formatted(one.id(), reading.status().word()));
      }
      LocalDate day = reading.receivedAt().atZone(ZoneOffset.UTC).toLocalDate();
      if (day.isAfter(standard.due())) {
        return Optional.of(
            "Undecided: the certificate of standard %s was due on %s, before this reading of %s."
                .formatted(standard.name(), standard.due(), day));
      }
    }
    return Optional.empty();
  }

  private String figures(
      List<RecordedReading> readings,
      Optional<BigDecimal> measured,
      Optional<BigDecimal> deviation,
      BigDecimal limit,
      BigDecimal uncertainty) {
    String unit = standard.kind().unit().equals(Unit.ONE) ? "" : " " + standard.kind().unit();
    String against =
        "%s%s of standard %s (serial %s, certificate %s)"
            .formatted(
                expected().toPlainString(),
                unit,
                standard.name(),
                standard.serial(),
                standard.certificate());
    String serial = instrument(readings.get(0)).serial();
    return deviation
        .map(
            off ->
                "Instrument %s shows %s%s%s against %s: %s %% off, limit %s %%, uncertainty %s %%."
                    .formatted(
                        serial,
                        measured.orElseThrow().toPlainString(),
                        unit,
                        readings.size() > 1 ? " (mean of %d)".formatted(readings.size()) : "",
                        against,
                        plain(off),
                        plain(limit),
                        plain(uncertainty)))
        .orElseGet(() -> "Instrument %s is held against %s.".formatted(serial, against));
  }

  private static String outcome(
      Optional<BigDecimal> deviation,
      BigDecimal limit,
      BigDecimal uncertainty,
      Verdict.State state) {
    if (state == Verdict.State.PASS) {
      return "Pass: it keeps the limit by at least the uncertainty.";
    }
    if (state == Verdict.State.FAIL) {
      return "Fail: it is beyond the limit by more than the uncertainty.";
    }
    if (uncertainty.compareTo(limit) > 0) {
      return "Undecided: the uncertainty is greater than the limit, so that nothing could pass; use"
          + " a better standard, or more readings.";
    }
    return "Undecided: the deviation is nearer to the limit than the uncertainty."
        + DECISION
            .decisive(deviation.orElseThrow(), limit, Bound.WITHIN)
            .map(most -> " One of at most %s %% would decide.".formatted(plain(most)))
            .orElse("");
  }

  private static String plain(BigDecimal figure) {
    BigDecimal shown = figure.signum() == 0 ? BigDecimal.ZERO : figure.stripTrailingZeros();
    return shown.toPlainString();
  }

  private static Instrument instrument(RecordedReading reading) {
    return reading.reading().instrument();
  }
}
