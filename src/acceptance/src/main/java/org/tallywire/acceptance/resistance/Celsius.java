package org.tallywire.acceptance.resistance;

import java.math.BigDecimal;

/** Temperatures at which a winding can be: −50 to 250 °C (common practice, no source). */
public final class Celsius {

  public static final String RANGE = "-50 to 250";

  private static final BigDecimal LOWEST = BigDecimal.valueOf(-50);
  private static final BigDecimal HIGHEST = BigDecimal.valueOf(250);

  private Celsius() {}

  public static boolean plausible(BigDecimal temperature) {
    return temperature.compareTo(LOWEST) >= 0 && temperature.compareTo(HIGHEST) <= 0;
  }
}
