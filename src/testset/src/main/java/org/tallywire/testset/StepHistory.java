package org.tallywire.testset;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;
import org.jspecify.annotations.Nullable;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;

/**
 * The values of one step of an asset, in order of time.
 *
 * @param step id of the step
 * @param unit of all values
 */
public record StepHistory(String step, Quantity quantity, Unit unit, List<Point> points) {

  private static final int DECIMALS = 3;

  public StepHistory {
    points = List.copyOf(points);
  }

  /** Returns the step without its phase: what is drawn together. */
  public String common() {
    String[] parts = step.split("/", -1);
    StringBuilder common = new StringBuilder(parts[0]);
    for (int i = 1; i < parts.length; i++) {
      if (i != 2) {
        common.append('/').append(parts[i]);
      }
    }
    return common.toString();
  }

  /** Returns the phase, or nothing. */
  public String phase() {
    String[] parts = step.split("/", -1);
    return parts.length > 2 ? parts[2] : "";
  }

  /**
   * A value at a time.
   *
   * @param from the test set, or the source of an earlier result
   * @param imported whether it is an earlier result
   * @param value in the unit of its series
   * @param comparable whether it may be held against others
   * @param deviation of the verdict that compared it with what was expected, in its unit
   * @param state the most severe of the verdicts on the step, as a word; empty if there is none
   * @param sinceFirst change in % since the first comparable value, if it is a later one
   * @param sinceLast likewise since the one before
   * @param remark what is to be known of it; empty if nothing
   */
  public record Point(
      Instant at,
      String from,
      boolean imported,
      BigDecimal value,
      boolean comparable,
      Optional<BigDecimal> deviation,
      String deviationUnit,
      String state,
      Optional<BigDecimal> sinceFirst,
      Optional<BigDecimal> sinceLast,
      String remark) {

    private Point since(Optional<BigDecimal> first, Optional<BigDecimal> last) {
      return new Point(
          at,
          from,
          imported,
          value,
          comparable,
          deviation,
          deviationUnit,
          state,
          first,
          last,
          remark);
    }
  }

  /** Puts values in order, and says of each how it changed. */
  static StepHistory of(String step, Quantity quantity, Unit unit, List<Point> unordered) {
    return new StepHistory(step, quantity, unit, changes(unordered));
  }

  private static List<Point> changes(List<Point> unordered) {
    List<Point> points = new ArrayList<>(unordered);
    points.sort(Comparator.comparing(Point::at));
    List<Point> changed = new ArrayList<>();
    Point first = null;
    Point last = null;
    for (Point point : points) {
      if (!point.comparable()) {
        changed.add(point);
        continue;
      }
      changed.add(point.since(change(first, point), change(last, point)));
      first = first == null ? point : first;
      last = point;
    }
    return changed;
  }

  private static Optional<BigDecimal> change(@Nullable Point before, Point now) {
    if (before == null || before.value().signum() == 0) {
      return Optional.empty();
    }
    return Optional.of(
        now.value()
            .subtract(before.value())
            .multiply(BigDecimal.valueOf(100))
            .divide(before.value(), MathContext.DECIMAL128)
            .setScale(DECIMALS, RoundingMode.HALF_EVEN));
  }
}
