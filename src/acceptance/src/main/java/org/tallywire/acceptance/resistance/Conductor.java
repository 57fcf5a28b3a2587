package org.tallywire.acceptance.resistance;

import java.math.BigDecimal;

/** What a winding is made of. */
public enum Conductor {
  COPPER,
  ALUMINIUM;

  /**
   * Returns the constant T_k in °C of {@link ConductorConstants#IEEE}; who has a choice takes it
   * from the chosen pair.
   */
  public BigDecimal constant() {
    return ConductorConstants.IEEE.of(this);
  }
}
