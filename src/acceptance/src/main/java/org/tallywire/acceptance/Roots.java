package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.math.MathContext;

/** Square roots that winding connections bring in, to 34 digits. */
final class Roots {

  static final BigDecimal THREE = BigDecimal.valueOf(3).sqrt(MathContext.DECIMAL128);

  private Roots() {}
}
