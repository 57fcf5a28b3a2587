package org.tallywire.acceptance.figure;

import java.math.BigDecimal;
import java.math.MathContext;

/** Square roots that winding connections bring in, to 34 digits. */
public final class Roots {

  public static final BigDecimal THREE = BigDecimal.valueOf(3).sqrt(MathContext.DECIMAL128);

  private Roots() {}
}
