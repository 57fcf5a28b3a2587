package org.tallywire.acceptance.related;

import java.math.BigDecimal;

/**
 * How far the measured impedance of two windings on the principal tap may be from the plate's. All
 * from memory.
 */
public enum ImpedanceTolerance {
  /** ±7.5 % of an impedance of 10 % and more, ±10 % of less. */
  IEC("IEC 60076-1 table 1") {
    @Override
    boolean narrow(BigDecimal plate) {
      return plate.compareTo(BigDecimal.TEN) >= 0;
    }
  },
  /** ±7.5 % of an impedance above 2.5 %, ±10 % of up to that. */
  IEEE("IEEE C57.12.00") {
    @Override
    boolean narrow(BigDecimal plate) {
      return plate.compareTo(IEEE_BOUNDARY) > 0;
    }
  };

  private static final BigDecimal IEEE_BOUNDARY = new BigDecimal("2.5");
  private static final BigDecimal NARROW = new BigDecimal("7.5");

  private final String source;

  ImpedanceTolerance(String source) {
    this.source = source;
  }

  abstract boolean narrow(BigDecimal plate);

  /** Returns where the tolerance comes from. */
  public String source() {
    return source;
  }

  /** Returns how sure it is: from memory. */
  public String certainty() {
    return "memory";
  }

  /**
   * Returns the tolerance on either side, in percent of the plate's impedance.
   *
   * @param plate impedance on the nameplate in %
   * @throws IllegalArgumentException for an impedance that is not above zero
   */
  public BigDecimal limit(BigDecimal plate) {
    Positive.check("impedance on the nameplate", plate);
    return narrow(plate) ? NARROW : BigDecimal.TEN;
  }
}
