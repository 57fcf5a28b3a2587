package org.tallywire.acceptance.uncertainty;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.Optional;

/**
 * How far an instrument may be wrong in one quantity, as its data sheet or certificate says: a part
 * of the reading, a part of the range, counts of the last digit, and a fixed part, all added up.
 * Without a coverage factor the sum is the half-width of a rectangular distribution, with one it is
 * an expanded uncertainty of a normal distribution (GUM 4.3, clause from memory; that the parts of
 * a data sheet add up: practice).
 *
 * @param percentOfReading not below zero, like all the others
 * @param percentOfRange of {@code range}
 * @param range full scale, in the unit of the reading
 * @param digits counts of the last digit
 * @param absolute in the unit of the reading
 * @param coverageFactor of a certificate; none for limits of error
 */
public record Accuracy(
    BigDecimal percentOfReading,
    BigDecimal percentOfRange,
    BigDecimal range,
    BigDecimal digits,
    BigDecimal absolute,
    Optional<BigDecimal> coverageFactor) {

  /**
   * Makes an accuracy.
   *
   * @throws IllegalArgumentException for a part below zero, a percentage of a range of zero, or a
   *     coverage factor that is not above zero
   */
  public Accuracy {
    notNegative("percentage of the reading", percentOfReading);
    notNegative("percentage of the range", percentOfRange);
    notNegative("range", range);
    notNegative("number of digits", digits);
    notNegative("fixed part", absolute);
    if (percentOfRange.signum() > 0 && range.signum() == 0) {
      throw new IllegalArgumentException(
          "an accuracy of %s %% of the range needs the range".formatted(percentOfRange));
    }
    if (coverageFactor.isPresent() && coverageFactor.orElseThrow().signum() <= 0) {
      throw new IllegalArgumentException(
          "an accuracy has coverage factor %s, which is not above zero"
              .formatted(coverageFactor.orElseThrow()));
    }
  }

  /** Returns limits of error of so many percent of the reading. */
  public static Accuracy ofReading(BigDecimal percent) {
    return new Accuracy(
        percent,
        BigDecimal.ZERO,
        BigDecimal.ZERO,
        BigDecimal.ZERO,
        BigDecimal.ZERO,
        Optional.empty());
  }

  /** Returns the same with a part of the range. */
  public Accuracy andOfRange(BigDecimal percent, BigDecimal fullScale) {
    return new Accuracy(percentOfReading, percent, fullScale, digits, absolute, coverageFactor);
  }

  /** Returns the same with counts of the last digit. */
  public Accuracy andDigits(BigDecimal counts) {
    return new Accuracy(percentOfReading, percentOfRange, range, counts, absolute, coverageFactor);
  }

  /** Returns the same with a fixed part. */
  public Accuracy andAbsolute(BigDecimal part) {
    return new Accuracy(percentOfReading, percentOfRange, range, digits, part, coverageFactor);
  }

  /** Returns the same as an expanded uncertainty with this coverage factor. */
  public Accuracy expandedWith(BigDecimal factor) {
    return new Accuracy(
        percentOfReading, percentOfRange, range, digits, absolute, Optional.of(factor));
  }

  /**
   * Returns the sum of all parts at a reading, exactly.
   *
   * @param lastDigit worth of one count of the last digit
   */
  public BigDecimal at(BigDecimal reading, BigDecimal lastDigit) {
    return percentOfReading
        .multiply(reading.abs())
        .add(percentOfRange.multiply(range))
        .movePointLeft(2)
        .add(digits.multiply(lastDigit.abs()))
        .add(absolute);
  }

  /**
   * Returns the component at a reading that is written as the instrument sent it, so that its last
   * decimal is the last digit.
   */
  public Component component(String name, BigDecimal reading) {
    return component(name, reading, reading.ulp());
  }

  /** Returns the component at a reading. */
  public Component component(String name, BigDecimal reading, BigDecimal lastDigit) {
    BigDecimal width = at(reading, lastDigit).round(MathContext.DECIMAL128);
    return coverageFactor
        .map(factor -> Component.normal(name, width, factor))
        .orElseGet(() -> Component.rectangular(name, width));
  }

  private static void notNegative(String part, BigDecimal number) {
    if (number.signum() < 0) {
      throw new IllegalArgumentException(
          "an accuracy has the %s %s, which is below zero".formatted(part, number));
    }
  }
}
