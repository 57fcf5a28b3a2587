package org.tallywire.testset;

import java.math.BigDecimal;
import java.time.LocalDate;
import java.util.Locale;
import java.util.Optional;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;

/**
 * Something whose value a certificate states, to hold instruments against.
 *
 * @param name by which people call it
 * @param serial its serial number
 * @param value of the certificate, above 0, in the unit
 * @param unit converts to that of the kind
 * @param uncertainty expanded, of the certificate, not negative, in the unit
 * @param coverageFactor k of that uncertainty, above 0
 * @param certificate its number
 * @param due the last day on which the certificate counts
 * @param warmth how the value goes with temperature, if that is known
 */
public record ReferenceStandard(
    String name,
    String serial,
    Kind kind,
    BigDecimal value,
    Unit unit,
    BigDecimal uncertainty,
    BigDecimal coverageFactor,
    String certificate,
    LocalDate due,
    Optional<Warmth> warmth) {

  /**
   * How a standard's value goes with its temperature.
   *
   * @param coefficient in parts per million per kelvin, with its sign
   * @param reference of the certificate, in °C
   * @param within how many kelvin it is off the reference at most where it is used, not negative
   */
  public record Warmth(BigDecimal coefficient, BigDecimal reference, BigDecimal within) {}

  /**
   * Checks what must be of one kind.
   *
   * @throws IllegalArgumentException for a unit of another kind or a number outside its range
   */
  public ReferenceStandard {
    if (!unit.converts(kind.unit())) {
      throw new IllegalArgumentException(
          "standard %s is in %s, which does not convert to %s".formatted(name, unit, kind.unit()));
    }
    if (value.signum() <= 0 || uncertainty.signum() < 0 || coverageFactor.signum() <= 0) {
      throw new IllegalArgumentException(
          "standard %s has value %s, uncertainty %s and k %s, one of which is out of its range"
              .formatted(name, value, uncertainty, coverageFactor));
    }
  }

  /** What it is a standard of. */
  public enum Kind {
    RATIO,
    RESISTANCE,
    INSULATION_RESISTANCE;

    /** Returns what instruments show of it. */
    public Quantity quantity() {
      return switch (this) {
        case RATIO -> Quantity.TURNS_RATIO;
        case RESISTANCE -> Quantity.WINDING_RESISTANCE;
        case INSULATION_RESISTANCE -> Quantity.INSULATION_RESISTANCE;
      };
    }

    /** Returns the unit in which accuracies of the quantity are stated. */
    public Unit unit() {
      return switch (this) {
        case RATIO -> Unit.ONE;
        case RESISTANCE -> Unit.OHM;
        case INSULATION_RESISTANCE -> Unit.MEGOHM;
      };
    }

    /** Returns the word for it in files, for example {@code insulation-resistance}. */
    public String word() {
      return name().toLowerCase(Locale.ROOT).replace('_', '-');
    }

    /** Returns the kind with the given word, or nothing if there is none. */
    public static Optional<Kind> of(String word) {
      for (Kind kind : values()) {
        if (kind.word().equals(word)) {
          return Optional.of(kind);
        }
      }
      return Optional.empty();
    }
  }
}
