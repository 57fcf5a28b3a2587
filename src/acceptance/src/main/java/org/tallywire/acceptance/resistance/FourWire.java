package org.tallywire.acceptance.resistance;

import java.math.BigDecimal;
import java.math.MathContext;
import org.tallywire.acceptance.figure.Percent;

/**
 * Voltage and current of one four-wire reading: R = U / I, the voltage leads apart from the current
 * leads (found: IEEE C57.12.91-2001). A tester that gives all three must agree with itself.
 */
public record FourWire(BigDecimal volts, BigDecimal amperes) {

  /**
   * @throws IllegalArgumentException if one is not greater than zero
   */
  public FourWire {
    Figure.positive("the voltage", volts);
    Figure.positive("the current", amperes);
  }

  /** Returns U / I to 34 digits. */
  public BigDecimal ohms() {
    return volts.divide(amperes, MathContext.DECIMAL128);
  }

  /** Returns by how many percent R · I lies above the voltage, rounded once, to 34 digits. */
  public BigDecimal deviation(BigDecimal ohms) {
    return Percent.off(Figure.positive("the resistance", ohms).multiply(amperes), volts);
  }

  /** Returns whether R · I is the voltage within a tolerance in percent, its end included. */
  public boolean agrees(BigDecimal ohms, BigDecimal tolerance) {
    BigDecimal product = Figure.positive("the resistance", ohms).multiply(amperes);
    return product
            .subtract(volts)
            .abs()
            .multiply(Figure.HUNDRED)
            .compareTo(volts.multiply(tolerance))
        <= 0;
  }
}
