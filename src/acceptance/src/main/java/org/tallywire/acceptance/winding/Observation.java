package org.tallywire.acceptance.winding;

import java.math.BigDecimal;
import java.util.Optional;

/**
 * What one measurement of a ratio showed.
 *
 * @param leads where the leads were meant to go
 * @param ratio HV voltage by LV voltage, above zero; empty if the LV pair showed no voltage
 * @param sense whether the two plus leads were in phase, if that was observed
 */
public record Observation(Leads leads, Optional<BigDecimal> ratio, Optional<Sense> sense) {

  private static final BigDecimal FULL_TURN = BigDecimal.valueOf(360);
  private static final BigDecimal HALF_TURN = BigDecimal.valueOf(180);
  private static final BigDecimal NEAR = BigDecimal.valueOf(45);

  /** Whether two voltages of one phase are in phase or in opposition. */
  public enum Sense {
    IN_PHASE,
    IN_OPPOSITION;

    /**
     * Returns the sense that a phase displacement shows: within 45 degrees of 0 or of 180; empty in
     * between, where it shows neither (practice).
     */
    public static Optional<Sense> ofDegrees(BigDecimal displacement) {
      BigDecimal folded = displacement.abs().remainder(FULL_TURN);
      BigDecimal fromOpposition = folded.subtract(HALF_TURN).abs();
      if (fromOpposition.compareTo(NEAR) <= 0) {
        return Optional.of(IN_OPPOSITION);
      }
      return fromOpposition.compareTo(HALF_TURN.subtract(NEAR)) >= 0
          ? Optional.of(IN_PHASE)
          : Optional.empty();
    }
  }

  public Observation {
    if (ratio.isPresent() && ratio.get().signum() <= 0) {
      throw new IllegalArgumentException(
          "the ratio observed at %s is %s, which is not above zero"
              .formatted(leads.iec(), ratio.get()));
    }
  }

  /** Returns an observation of a ratio alone. */
  public static Observation of(Leads leads, BigDecimal ratio) {
    return new Observation(leads, Optional.of(ratio), Optional.empty());
  }

  /** Returns an observation of a ratio and a sense. */
  public static Observation of(Leads leads, BigDecimal ratio, Sense sense) {
    return new Observation(leads, Optional.of(ratio), Optional.of(sense));
  }

  /** Returns an observation that the LV pair shows no voltage. */
  public static Observation nothing(Leads leads) {
    return new Observation(leads, Optional.empty(), Optional.empty());
  }
}
