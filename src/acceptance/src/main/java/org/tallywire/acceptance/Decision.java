package org.tallywire.acceptance;

import java.math.BigDecimal;
import org.tallywire.acceptance.Verdict.State;

/**
 * Makes a state of a deviation, a limit L and an expanded uncertainty U: non-binary with a guard
 * band of U, after ILAC-G8:09/2019 (the names of the four states from memory). That a deviation on
 * a boundary belongs to the better side is common practice.
 */
final class Decision {

  static final String RULE =
      "Guard band equal to the expanded uncertainty U (k = 2): with the deviation taken without its"
          + " sign and not rounded, up to L - U is pass, up to L conditional pass, up to L + U"
          + " conditional fail, above that fail (ILAC-G8:09/2019, non-binary statement with guard"
          + " band; names of the four states from memory).";

  private Decision() {}

  static State state(BigDecimal deviation, BigDecimal limit, BigDecimal uncertainty) {
    BigDecimal size = deviation.abs();
    if (size.compareTo(limit.subtract(uncertainty)) <= 0) {
      return State.PASS;
    }
    if (size.compareTo(limit) <= 0) {
      return State.CONDITIONAL_PASS;
    }
    if (size.compareTo(limit.add(uncertainty)) <= 0) {
      return State.CONDITIONAL_FAIL;
    }
    return State.FAIL;
  }
}
