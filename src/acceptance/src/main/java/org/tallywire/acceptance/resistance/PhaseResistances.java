package org.tallywire.acceptance.resistance;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.List;
import org.tallywire.acceptance.winding.WindingGroup.Connection;

/**
 * Resistances of the three phase windings of one side. Those of a star or zigzag are named by their
 * line terminal (U, V, W); where the neutral is brought out, a reading from line to neutral is the
 * phase itself (with the neutral's lead, which matters in windings of a few milliohm). Those of a
 * delta are named by the two terminals they lie between (U-V, V-W, W-U), whatever limb that is.
 */
public record PhaseResistances(
    Connection connection, BigDecimal first, BigDecimal second, BigDecimal third) {

  private static final BigDecimal ONE_AND_A_HALF = new BigDecimal("1.5");

  /**
   * @throws IllegalArgumentException if one is not greater than zero
   */
  public PhaseResistances {
    Figure.positive("the resistance of the first phase", first);
    Figure.positive("the resistance of the second phase", second);
    Figure.positive("the resistance of the third phase", third);
  }

  public List<BigDecimal> values() {
    return List.of(first, second, third);
  }

  /** Returns the names of the three, in order. */
  public List<String> names() {
    return connection == Connection.DELTA ? List.of("U-V", "V-W", "W-U") : List.of("U", "V", "W");
  }

  /** Returns what is read between the line terminals (derived: circuit theory). */
  public LineResistances lines() {
    return switch (connection) {
      case STAR, ZIGZAG ->
          new LineResistances(first.add(second), second.add(third), third.add(first));
      case DELTA ->
          new LineResistances(
              across(first, second, third),
              across(second, third, first),
              across(third, first, second));
      case SINGLE ->
          throw new IllegalArgumentException("a single-phase winding has no resistances of lines");
    };
  }

  /**
   * Returns the phase behind a resistance between two lines where all phases are alike: half of it
   * in a star or zigzag, 1.5 times it in a delta (found in trade pages; derived).
   */
  public static BigDecimal balanced(Connection connection, BigDecimal line) {
    Figure.positive("the resistance between lines", line);
    return connection == Connection.DELTA ? line.multiply(ONE_AND_A_HALF) : line.divide(Figure.TWO);
  }

  private static BigDecimal across(BigDecimal own, BigDecimal one, BigDecimal other) {
    BigDecimal rest = one.add(other);
    return own.multiply(rest).divide(own.add(rest), MathContext.DECIMAL128);
  }
}
