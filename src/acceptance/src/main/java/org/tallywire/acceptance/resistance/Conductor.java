package org.tallywire.acceptance.resistance;

import java.math.BigDecimal;

/**
 * What a winding is made of, with the constant T_k of R2 = R1 (T_k + θ2) / (T_k + θ1), θ in °C.
 * Source: IEEE C57.12.90/.91 and 10 CFR 431 subpart K appendix A: 234.5 for copper, 225 for
 * aluminium, as read in the EnergyPlus Engineering Reference (IEC 60076-1 has 235 for copper).
 */
public enum Conductor {
  COPPER("234.5"),
  ALUMINIUM("225");

  private final BigDecimal constant;

  Conductor(String constant) {
    this.constant = new BigDecimal(constant);
  }

  /** Returns T_k in °C. */
  public BigDecimal constant() {
    return constant;
  }
}
