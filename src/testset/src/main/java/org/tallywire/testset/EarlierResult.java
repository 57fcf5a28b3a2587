package org.tallywire.testset;

import java.math.BigDecimal;
import java.time.LocalDate;
import java.util.Optional;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;

/**
 * A result that was not measured through this program: from the factory, or an earlier year.
 *
 * @param step id of the step that asks for it
 * @param value exact, in the unit
 * @param text as it stood where it came from
 * @param factor by which that was multiplied, if it was
 * @param temperature of the winding, in °C, if it is known
 * @param source in words, for example {@code factory test report}
 * @param line of the file, from 1
 */
public record EarlierResult(
    String step,
    Quantity quantity,
    BigDecimal value,
    Unit unit,
    String text,
    Optional<BigDecimal> factor,
    Optional<BigDecimal> temperature,
    LocalDate date,
    String source,
    int line) {

  /** Returns a part of the step's id: test, windings, phase, tap, on-load tap; or nothing. */
  public String part(int index) {
    String[] parts = step.split("/", -1);
    return index < parts.length ? parts[index] : "";
  }
}
