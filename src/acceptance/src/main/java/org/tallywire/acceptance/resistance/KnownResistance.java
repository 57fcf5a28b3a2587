package org.tallywire.acceptance.resistance;

import java.math.BigDecimal;
import org.tallywire.acceptance.winding.WindingGroup.Connection;

/**
 * A resistance with what has to be known to compare it: at which temperature, and between which
 * points. Only like is compared with like, at the same temperature (practice).
 */
public record KnownResistance(BigDecimal ohms, BigDecimal celsius, Between between) {

  /** Between which points a resistance lies. */
  public enum Between {
    /** Two line terminals. */
    LINES("between lines"),
    /** The ends of one phase winding. */
    PHASE("of a phase");

    private final String words;

    Between(String words) {
      this.words = words;
    }
  }

  /**
   * @throws IllegalArgumentException if the resistance is not greater than zero
   */
  public KnownResistance {
    Figure.positive("the resistance", ohms);
  }

  /** Returns it at another temperature, to 34 digits. */
  public KnownResistance at(BigDecimal other, TemperatureCorrection correction) {
    return new KnownResistance(correction.corrected(ohms, celsius, other), other, between);
  }

  /** Returns the phase that it stands for where all phases are alike; itself if it is a phase. */
  public KnownResistance asPhase(Connection connection) {
    return between == Between.PHASE
        ? this
        : new KnownResistance(PhaseResistances.balanced(connection, ohms), celsius, Between.PHASE);
  }

  /**
   * Returns by how many percent this lies above a factory value, both at the factory value's
   * temperature: (R − R_factory) / R_factory × 100 (practice).
   *
   * @throws IllegalArgumentException if one is between lines and the other of a phase: convert
   *     first, by {@link #asPhase} or {@link LineResistances#phases}
   */
  public BigDecimal deviation(KnownResistance factory, TemperatureCorrection correction) {
    if (between != factory.between) {
      throw new IllegalArgumentException(
          "a resistance %s is not compared with one %s: convert one of them first"
              .formatted(between.words, factory.between.words));
    }
    return Figure.percent(at(factory.celsius, correction).ohms, factory.ohms);
  }
}
