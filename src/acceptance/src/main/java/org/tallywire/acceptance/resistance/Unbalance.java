package org.tallywire.acceptance.resistance;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.Collections;
import java.util.List;
import java.util.Optional;

/**
 * The three definitions of unbalance in use. None is standard, so a criterion names the one it
 * means; the limits that go with them are from memory (see the tables of criteria).
 */
public enum Unbalance {
  /** (max − min) / mean: used by GB/T 6451 and GB 50150 (memory). */
  RANGE_OF_MEAN("range-of-mean", "(max − min) / mean × 100") {
    @Override
    BigDecimal of(List<BigDecimal> values, BigDecimal sum) {
      return share(range(values).multiply(count(values)), sum);
    }
  },
  /** max |x − mean| / mean: as NEMA defines it for voltages (memory). */
  FARTHEST_FROM_MEAN("farthest-from-mean", "max |x − mean| / mean × 100") {
    @Override
    BigDecimal of(List<BigDecimal> values, BigDecimal sum) {
      // n times the distance, so that nothing is rounded before the one division
      BigDecimal above = Collections.max(values).multiply(count(values)).subtract(sum);
      BigDecimal below = sum.subtract(Collections.min(values).multiply(count(values)));
      return share(above.max(below), sum);
    }
  },
  /** (max − min) / min (practice). */
  RANGE_OF_LOWEST("range-of-lowest", "(max − min) / min × 100") {
    @Override
    BigDecimal of(List<BigDecimal> values, BigDecimal sum) {
      return share(range(values), Collections.min(values));
    }
  };

  private final String word;
  private final String formula;

  Unbalance(String word, String formula) {
    this.word = word;
    this.formula = formula;
  }

  /** Returns the word for it in criteria and records. */
  public String word() {
    return word;
  }

  /** Returns the definition as a formula in words. */
  public String formula() {
    return formula;
  }

  /** Returns the definition with the given word, or nothing if there is none. */
  public static Optional<Unbalance> named(String word) {
    for (Unbalance unbalance : values()) {
      if (unbalance.word.equals(word)) {
        return Optional.of(unbalance);
      }
    }
    return Optional.empty();
  }

  /**
   * Returns the unbalance of some resistances in percent, rounded once, to 34 digits.
   *
   * @throws IllegalArgumentException if there are fewer than two, or one is not greater than zero
   */
  public BigDecimal percent(List<BigDecimal> values) {
    if (values.size() < 2) {
      throw new IllegalArgumentException(
          "an unbalance is between two or more resistances, not %d".formatted(values.size()));
    }
    values.forEach(value -> Figure.positive("a resistance", value));
    return of(values, values.stream().reduce(BigDecimal.ZERO, BigDecimal::add));
  }

  abstract BigDecimal of(List<BigDecimal> values, BigDecimal sum);

  private static BigDecimal count(List<BigDecimal> values) {
    return BigDecimal.valueOf(values.size());
  }

  private static BigDecimal range(List<BigDecimal> values) {
    return Collections.max(values).subtract(Collections.min(values));
  }

  private static BigDecimal share(BigDecimal part, BigDecimal whole) {
    return part.multiply(Figure.HUNDRED).divide(whole, MathContext.DECIMAL128);
  }
}
