package org.tallywire.acceptance;

import java.math.BigDecimal;

/** One thing that is judged, with its limit, the uncertainty to allow for, and its rule. */
public sealed interface Criterion {

  /** Returns the name in records and criteria files, for example {@code ratio-deviation}. */
  String name();

  /** Returns where the limit comes from. */
  Rule rule();

  /** Returns the expanded uncertainty (k = 2) of the judged figure, in the unit of the limit. */
  BigDecimal uncertainty();

  /**
   * Turns ratio against the nameplate: |measured − expected| / expected × 100.
   *
   * @param limit in %
   * @param tenthOfImpedance whether a tenth of the nameplate impedance is the limit where lower
   */
  record RatioDeviation(
      BigDecimal limit, boolean tenthOfImpedance, BigDecimal uncertainty, Rule rule)
      implements Criterion {
    public RatioDeviation {
      positive("ratio-deviation", "limit", limit);
      notNegative("ratio-deviation", uncertainty);
    }

    @Override
    public String name() {
      return "ratio-deviation";
    }
  }

  /**
   * Phase displacement of a pair of windings that should be in phase.
   *
   * @param limit in degrees
   */
  record PhaseDisplacement(BigDecimal limit, BigDecimal uncertainty, Rule rule)
      implements Criterion {
    public PhaseDisplacement {
      positive("phase-displacement", "limit", limit);
      notNegative("phase-displacement", uncertainty);
    }

    @Override
    public String name() {
      return "phase-displacement";
    }
  }

  /**
   * Excitation currents of the three phases on one tap at one voltage: the two higher are compared,
   * as a percentage of the smaller of the two. Source: FIST 3-30, 9.3.3; what to divide by, which
   * of the two decides about the threshold (the highest) and that the threshold itself belongs to
   * the lower range are not said there and are chosen here.
   *
   * @param threshold in mA: up to it the first limit holds, above it the second
   * @param limitUpTo in %
   * @param limitAbove in %
   */
  record ExcitationPattern(
      BigDecimal threshold,
      BigDecimal limitUpTo,
      BigDecimal limitAbove,
      BigDecimal uncertainty,
      Rule rule)
      implements Criterion {
    public ExcitationPattern {
      positive("excitation-pattern", "threshold", threshold);
      positive("excitation-pattern", "limit-up-to", limitUpTo);
      positive("excitation-pattern", "limit-above", limitAbove);
      notNegative("excitation-pattern", uncertainty);
    }

    @Override
    public String name() {
      return "excitation-pattern";
    }
  }

  /**
   * Winding resistance, corrected to the reference temperature, against an earlier value.
   *
   * @param limit in %
   */
  record ResistanceDeviation(BigDecimal limit, BigDecimal uncertainty, Rule rule)
      implements Criterion {
    public ResistanceDeviation {
      positive("resistance-deviation", "limit", limit);
      notNegative("resistance-deviation", uncertainty);
    }

    @Override
    public String name() {
      return "resistance-deviation";
    }
  }

  /**
   * Winding resistances of the three phases, corrected to the reference temperature: (max − min) /
   * mean × 100.
   *
   * @param limit in %
   */
  record ResistanceUnbalance(BigDecimal limit, BigDecimal uncertainty, Rule rule)
      implements Criterion {
    public ResistanceUnbalance {
      positive("resistance-unbalance", "limit", limit);
      notNegative("resistance-unbalance", uncertainty);
    }

    @Override
    public String name() {
      return "resistance-unbalance";
    }
  }

  private static void positive(String criterion, String name, BigDecimal number) {
    if (number.signum() <= 0) {
      throw new IllegalArgumentException(
          "criterion %s has %s %s, which is not above zero".formatted(criterion, name, number));
    }
  }

  private static void notNegative(String criterion, BigDecimal uncertainty) {
    if (uncertainty.signum() < 0) {
      throw new IllegalArgumentException(
          "criterion %s has uncertainty %s, which is below zero".formatted(criterion, uncertainty));
    }
  }
}
