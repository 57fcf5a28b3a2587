package org.tallywire.acceptance.winding;

import java.math.BigDecimal;

/** What a pair of leads shows, as far as the connection alone decides it. */
public sealed interface Expectation {

  /**
   * A voltage ratio.
   *
   * @param ratio HV voltage by LV voltage, above zero, to 34 digits
   * @param inPhase whether the two plus leads are in phase, or else in opposition
   */
  record Ratio(BigDecimal ratio, boolean inPhase) implements Expectation {}

  /** The LV pair has no voltage. */
  record NoVoltage() implements Expectation {}

  /**
   * The windings short-circuit the exciting voltage, or contradict each other, as two closed deltas
   * of unequal windings do: a current would flow that only leakage limits.
   */
  record ShortCircuit() implements Expectation {}

  /**
   * The reading depends on how the flux splits between limbs by reluctance.
   *
   * @param reason a sentence that says why
   * @param remedy a sentence that says what to do instead
   */
  record Undetermined(String reason, String remedy) implements Expectation {}

  /**
   * A terminal is used that this connection does not have.
   *
   * @param terminal the terminal
   */
  record NoSuchTerminal(Terminal terminal) implements Expectation {}
}
