package org.tallywire.acceptance.resistance;

import java.math.BigDecimal;

/** T_k. */
public record ConductorConstants() {
  public BigDecimal of(Conductor conductor) {
    return conductor.constant();
  }
}
