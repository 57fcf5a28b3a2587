package org.tallywire.acceptance.uncertainty;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;
import java.util.Optional;

/**
 * The rule that makes an outcome of a figure, its limit and its expanded uncertainty U: with simple
 * acceptance the limit itself decides; with a guard band of r × U there are four outcomes. A figure
 * on a boundary has the better outcome of the two.
 */
public final class Decision {

  /** What happens to a figure before it is held against its limit. */
  public enum Rounding {
    /** Nothing. */
    ABSOLUTE,
    /** It is rounded to the last place of the limit as written, ties to even. */
    TO_LIMIT
  }

  private static final BigDecimal USUAL_FACTOR = BigDecimal.valueOf(2);
  private static final MathContext TWO_DIGITS_DOWN = new MathContext(2, RoundingMode.DOWN);
  private static final MathContext TWO_DIGITS_UP = new MathContext(2, RoundingMode.UP);
  private static final BigDecimal A_LITTLE_LESS = new BigDecimal("0.99");

  private final BigDecimal guard;
  private final Rounding rounding;
  private final String text;

  private Decision(BigDecimal guard, Rounding rounding) {
    this.guard = guard;
    this.rounding = rounding;
    this.text = sentence();
  }

  /** Returns simple acceptance of figures that are not rounded. */
  public static Decision simple() {
    return guarded(BigDecimal.ZERO);
  }

  /**
   * Returns acceptance with a guard band of so many times the expanded uncertainty, of figures that
   * are not rounded; with zero it is simple acceptance.
   *
   * @throws IllegalArgumentException for a factor below zero
   */
  public static Decision guarded(BigDecimal factor) {
    if (factor.signum() < 0) {
      throw new IllegalArgumentException(
          "a guard band of %s times the uncertainty is below zero".formatted(factor));
    }
    return new Decision(
        factor.signum() == 0 ? BigDecimal.ZERO : factor.stripTrailingZeros(), Rounding.ABSOLUTE);
  }

  /** Returns the same decision about figures that are rounded like this. */
  public Decision rounding(Rounding how) {
    return new Decision(guard, how);
  }

  /** Returns r, the guard band in expanded uncertainties; zero is simple acceptance. */
  public BigDecimal guard() {
    return guard;
  }

  /** Returns what happens to a figure before it is held against its limit. */
  public Rounding rounding() {
    return rounding;
  }

  /**
   * Decides about a figure. Source: ILAC-G8:09/2019 (names of the four outcomes from memory; to
   * which side a boundary belongs is practice).
   *
   * @param limit as written, because its last place counts where figures are rounded
   * @throws IllegalArgumentException for an uncertainty below zero, or a limit below zero on both
   *     sides of zero
   */
  public Outcome decide(BigDecimal figure, BigDecimal limit, BigDecimal uncertainty, Bound bound) {
    if (uncertainty.signum() < 0) {
      throw new IllegalArgumentException(
          "an expanded uncertainty of %s is below zero".formatted(uncertainty));
    }
    BigDecimal margin = margin(figure, limit, bound);
    boolean kept = margin.signum() >= 0;
    if (guard.signum() == 0) {
      return kept ? Outcome.PASS : Outcome.FAIL;
    }
    int size = margin.abs().compareTo(guard.multiply(uncertainty));
    if (kept) {
      return size >= 0 ? Outcome.PASS : Outcome.CONDITIONAL_PASS;
    }
    return size <= 0 ? Outcome.CONDITIONAL_FAIL : Outcome.FAIL;
  }

  /**
   * Returns the greatest expanded uncertainty, cut to 2 significant digits, with which the same
   * figure would be a plain pass or fail; nothing if there is none, because the figure is on the
   * limit, or because this is simple acceptance, where the uncertainty does not count.
   *
   * @throws IllegalArgumentException for a limit below zero on both sides of zero
   */
  public Optional<BigDecimal> decisive(BigDecimal figure, BigDecimal limit, Bound bound) {
    BigDecimal margin = margin(figure, limit, bound);
    if (guard.signum() == 0 || margin.signum() == 0) {
      return Optional.empty();
    }
    BigDecimal most = margin.abs().divide(guard, TWO_DIGITS_DOWN);
    boolean onBoundary = most.multiply(guard).compareTo(margin.abs()) == 0;
    return Optional.of(
        margin.signum() < 0 && onBoundary
            ? most.multiply(A_LITTLE_LESS).round(TWO_DIGITS_DOWN)
            : most);
  }

  /**
   * Returns the greatest probability with which a figure that is a plain pass has a true value
   * beyond that limit, rounded to 8 decimals: 1 − Φ(r k). Source: JCGM 106:2012 (from memory) and
   * ILAC-G8:09/2019 (for r = 0 and 1 found). Beyond the other of two limits there can be no more
   * than that again, and next to nothing unless the uncertainty comes near to the limit.
   *
   * @param coverageFactor k of the expanded uncertainty
   * @throws IllegalArgumentException for a coverage factor that is not above zero
   */
  public BigDecimal risk(BigDecimal coverageFactor) {
    if (coverageFactor.signum() <= 0) {
      throw new IllegalArgumentException(
          "a coverage factor of %s is not above zero".formatted(coverageFactor));
    }
    return Conformity.beyond(guard.multiply(coverageFactor), BigDecimal.ONE);
  }

  /** Returns the rule in one sentence, with the risk of a false accept for k = 2. */
  public String text() {
    return text;
  }

  /** Returns where the rule comes from and how sure that is. */
  public String source() {
    return "ILAC-G8:09/2019 ("
        + (guard.signum() == 0
            ? "simple acceptance and its risk found; "
            : "guard band and the risk of one U found; other factors and the names of the four"
                + " states from memory; ")
        + "boundary on the better side: practice), "
        + (rounding == Rounding.ABSOLUTE
            ? "ASTM E29 absolute method (from memory)"
            : "ASTM E29 rounding method and ISO 80000-1 annex B rule A (from memory)");
  }

  @Override
  public boolean equals(Object other) {
    return other instanceof Decision that && guard.equals(that.guard) && rounding == that.rounding;
  }

  @Override
  public int hashCode() {
    return 31 * guard.hashCode() + rounding.hashCode();
  }

  @Override
  public String toString() {
    return text;
  }

  private BigDecimal margin(BigDecimal figure, BigDecimal limit, Bound bound) {
    if (bound == Bound.WITHIN && limit.signum() < 0) {
      throw new IllegalArgumentException(
          "a limit of %s on both sides of zero is below zero".formatted(limit));
    }
    BigDecimal held =
        rounding == Rounding.ABSOLUTE
            ? figure
            : figure.setScale(limit.scale(), RoundingMode.HALF_EVEN);
    return bound.margin(held, limit);
  }

  private String sentence() {
    String figure =
        rounding == Rounding.ABSOLUTE
            ? "the figure, not rounded,"
            : "the figure, rounded to the last place of the limit with ties to even,";
    String risk =
        risk(USUAL_FACTOR)
            .movePointRight(2)
            .round(TWO_DIGITS_UP)
            .stripTrailingZeros()
            .toPlainString();
    return guard.signum() == 0
        ? ("Simple acceptance: %s passes up to the limit and fails beyond it; a pass may be false"
                + " with a risk of up to %s %%.")
            .formatted(figure, risk)
        : ("Guard band of %s times the expanded uncertainty (k = 2): %s passes up to that short of"
                + " the limit, passes conditionally up to the limit, fails conditionally up to that"
                + " beyond it, and fails beyond that; a pass may be false with a risk of up to %s"
                + " %%, a conditional pass of up to 50 %%.")
            .formatted(guard.toPlainString(), figure, risk);
  }
}
