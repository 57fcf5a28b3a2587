package org.tallywire.api;

import java.math.BigDecimal;
import java.util.Optional;
import java.util.regex.Pattern;

/**
 * The one decimal grammar of lines and records: {@code -?(0|[1-9][0-9]*)(\.[0-9]+)?}, at most 32
 * characters; no exponent, no plus sign, no NaN, so text and number are the same thing (but for the
 * sign of a negative zero, which a number does not have).
 */
public final class Decimals {

  private static final int LONGEST = 32;
  private static final Pattern GRAMMAR = Pattern.compile("-?(0|[1-9][0-9]*)(\\.[0-9]+)?");

  private Decimals() {}

  /** Returns the exact number, digits kept, or nothing if the text is not of the grammar. */
  public static Optional<BigDecimal> parse(String text) {
    return parse(text, LONGEST);
  }

  /** Returns the same for figures that were computed, with a bound of their own. */
  public static Optional<BigDecimal> parse(String text, int longest) {
    if (text.length() > longest || !GRAMMAR.matcher(text).matches()) {
      return Optional.empty();
    }
    return Optional.of(new BigDecimal(text));
  }
}
