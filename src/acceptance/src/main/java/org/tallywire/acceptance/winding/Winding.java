package org.tallywire.acceptance.winding;

import java.math.BigDecimal;

/**
 * One winding, or half of a zigzag phase, on a limb: the voltage from {@code from} to {@code to} is
 * its turns times the limb's voltage per turn.
 *
 * @param limb 1, 2 or 3
 * @param turns above zero; any unit that is the same for both sides
 * @param from name of the node at the marked end, for example {@code 1U}
 * @param to name of the node at the other end
 */
public record Winding(int limb, BigDecimal turns, String from, String to) {

  public Winding {
    if (limb < 1 || limb > 3 || turns.signum() <= 0 || from.equals(to)) {
      throw new IllegalArgumentException(
          "a winding cannot have %s turns on limb %d from %s to %s"
              .formatted(turns, limb, from, to));
    }
  }

  /** Returns the winding connected the wrong way round. */
  Winding reversed() {
    return new Winding(limb, turns, to, from);
  }

  Winding withTurns(BigDecimal other) {
    return new Winding(limb, other, from, to);
  }
}
