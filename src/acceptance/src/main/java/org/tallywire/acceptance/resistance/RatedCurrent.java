package org.tallywire.acceptance.resistance;

import java.math.BigDecimal;
import java.math.MathContext;
import org.tallywire.acceptance.figure.Roots;
import org.tallywire.acceptance.winding.WindingGroup.Connection;

/**
 * Rated current of one side of a three-phase transformer from its plate: the line current is S /
 * (√3 U); that of a winding is the same in a star or zigzag, and the line current / √3 in a delta
 * (derived).
 *
 * <p>A test current is held against the <em>line</em> current. It enters at one line terminal and
 * leaves at another: a star or zigzag winding carries all of it, in a delta two thirds go through
 * the winding between the terminals and one third through the other two (derived), where the rated
 * share is 1/√3 = 0.577. The winding of a delta so gets 1.155 times the share that is reckoned.
 */
public record RatedCurrent(BigDecimal line, BigDecimal winding) {

  private static final BigDecimal THOUSAND = BigDecimal.valueOf(1000);
  private static final BigDecimal THREE = BigDecimal.valueOf(3);

  /**
   * Returns the currents in ampere, to 34 digits.
   *
   * @param kilovoltamperes rated power
   * @param volts rated voltage between lines
   * @throws IllegalArgumentException if one is not greater than zero
   */
  public static RatedCurrent of(
      BigDecimal kilovoltamperes, BigDecimal volts, Connection connection) {
    BigDecimal power = Figure.positive("the rated power", kilovoltamperes).multiply(THOUSAND);
    Figure.positive("the rated voltage", volts);
    BigDecimal line = power.divide(volts.multiply(Roots.THREE), MathContext.DECIMAL128);
    BigDecimal winding =
        connection == Connection.DELTA
            ? power.divide(volts.multiply(THREE), MathContext.DECIMAL128)
            : line;
    return new RatedCurrent(line, winding);
  }
}
