package org.tallywire.acceptance.uncertainty;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.Locale;
import org.tallywire.acceptance.figure.Roots;

/**
 * What is assumed about where a value lies, with what makes a standard uncertainty of its width.
 * Source: GUM 4.3 and 4.2 (found as rules in a general calculator's documentation; clauses from
 * memory).
 */
public enum Distribution {
  /** Anywhere between two limits, equally likely: half-width / √3. */
  RECTANGULAR(Roots.THREE),
  /** Between two limits, most likely in the middle: half-width / √6. */
  TRIANGULAR(root(6)),
  /** Swings between two limits, most often near them: half-width / √2. */
  ARCSINE(root(2)),
  /** Normal, with an expanded uncertainty U and its coverage factor k: U / k. */
  NORMAL(BigDecimal.ONE),
  /** Mean of repeated values (type A): s / √n with n − 1 degrees of freedom. */
  REPEATED(BigDecimal.ONE);

  private final BigDecimal divisor;

  Distribution(BigDecimal divisor) {
    this.divisor = divisor;
  }

  BigDecimal standard(BigDecimal halfWidth) {
    return halfWidth.divide(divisor, MathContext.DECIMAL128);
  }

  /** Returns the word for it in records, for example {@code rectangular}. */
  public String word() {
    return name().toLowerCase(Locale.ROOT);
  }

  private static BigDecimal root(int number) {
    return BigDecimal.valueOf(number).sqrt(MathContext.DECIMAL128);
  }
}
