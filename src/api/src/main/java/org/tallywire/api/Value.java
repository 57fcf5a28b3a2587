package org.tallywire.api;

import java.math.BigDecimal;
import java.util.Locale;
import java.util.Optional;

/**
 * A quantity with an exact decimal and a unit, or the reason there is none; never NaN, never null.
 */
public sealed interface Value {

  /** Returns what this is a value of. */
  Quantity quantity();

  /** Returns the unit the instrument states for it. */
  Unit unit();

  /**
   * A value with a number.
   *
   * @param number exact, with the digits the instrument sent: trailing zeros are its resolution
   * @param factor by which the driver multiplied what the instrument sent, if it did
   */
  record Measured(Quantity quantity, BigDecimal number, Unit unit, Optional<BigDecimal> factor)
      implements Value {

    /** A number as the instrument sent it. */
    public Measured(Quantity quantity, BigDecimal number, Unit unit) {
      this(quantity, number, unit, Optional.empty());
    }

    /** Returns the number as plain text, digit for digit as the instrument sent it. */
    public String text() {
      return number.toPlainString();
    }

    /** Returns the number in another unit, exactly, or nothing if the units do not convert. */
    public Optional<BigDecimal> in(Unit other) {
      return unit.converts(other) ? Optional.of(unit.convert(number, other)) : Optional.empty();
    }
  }

  /** A value the instrument could not give, and why. */
  record Missing(Quantity quantity, Unit unit, Reason reason) implements Value {}

  /** Why an instrument gives no number. */
  enum Reason {
    OVER_RANGE,
    UNDER_RANGE,
    OPEN,
    INVALID,
    ABORTED;

    /** Returns the word for it in lines and records, for example {@code over-range}. */
    public String word() {
      return name().toLowerCase(Locale.ROOT).replace('_', '-');
    }

    /** Returns the reason with the given word, or nothing if there is none. */
    public static Optional<Reason> of(String word) {
      for (Reason reason : values()) {
        if (reason.word().equals(word)) {
          return Optional.of(reason);
        }
      }
      return Optional.empty();
    }
  }
}
