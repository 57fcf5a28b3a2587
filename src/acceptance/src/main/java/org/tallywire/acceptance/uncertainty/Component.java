package org.tallywire.acceptance.uncertainty;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.List;
import java.util.Optional;

/**
 * One thing that makes a figure uncertain. Computed to 34 digits.
 *
 * @param name unlike the others of its budget, for example {@code accuracy}
 * @param standardUncertainty in the unit of its own quantity, not below zero
 * @param sensitivity how far the figure goes for one unit of this quantity, with its sign
 * @param degreesOfFreedom at least 1; none where they are as good as infinite
 * @param distribution that was assumed
 */
public record Component(
    String name,
    BigDecimal standardUncertainty,
    BigDecimal sensitivity,
    Optional<BigDecimal> degreesOfFreedom,
    Distribution distribution) {

  private static final BigDecimal TWO = BigDecimal.valueOf(2);

  /**
   * Makes a component.
   *
   * @throws IllegalArgumentException for a name that is empty, an uncertainty below zero, or fewer
   *     degrees of freedom than 1
   */
  public Component {
    if (name.isBlank()) {
      throw new IllegalArgumentException("a component of uncertainty has no name");
    }
    if (standardUncertainty.signum() < 0) {
      throw new IllegalArgumentException(
          "component %s has uncertainty %s, which is below zero"
              .formatted(name, standardUncertainty));
    }
    if (degreesOfFreedom.isPresent()
        && degreesOfFreedom.orElseThrow().compareTo(BigDecimal.ONE) < 0) {
      throw new IllegalArgumentException(
          "component %s has %s degrees of freedom, fewer than 1"
              .formatted(name, degreesOfFreedom.orElseThrow()));
    }
  }

  /** Returns a component that lies within ± the half-width, equally likely everywhere. */
  public static Component rectangular(String name, BigDecimal halfWidth) {
    return within(name, halfWidth, Distribution.RECTANGULAR);
  }

  /** Returns a component that lies within ± the half-width, most likely in the middle. */
  public static Component triangular(String name, BigDecimal halfWidth) {
    return within(name, halfWidth, Distribution.TRIANGULAR);
  }

  /** Returns a component that swings between − and + the half-width. */
  public static Component arcsine(String name, BigDecimal halfWidth) {
    return within(name, halfWidth, Distribution.ARCSINE);
  }

  /** Returns the component of a reading with steps: rectangular, half a step wide on each side. */
  public static Component resolution(String name, BigDecimal step) {
    return rectangular(name, step.divide(TWO, MathContext.DECIMAL128));
  }

  /**
   * Returns a component as a certificate states it.
   *
   * @throws IllegalArgumentException for a coverage factor that is not above zero
   */
  public static Component normal(String name, BigDecimal expanded, BigDecimal coverageFactor) {
    if (coverageFactor.signum() <= 0) {
      throw new IllegalArgumentException(
          "component %s has coverage factor %s, which is not above zero"
              .formatted(name, coverageFactor));
    }
    return within(
        name, expanded.divide(coverageFactor, MathContext.DECIMAL128), Distribution.NORMAL);
  }

  /**
   * Returns the component of a mean of repeated values: s / √n with n − 1 degrees of freedom.
   *
   * @throws IllegalArgumentException for fewer than two values
   */
  public static Component repeated(String name, List<BigDecimal> values) {
    int n = values.size();
    if (n < 2) {
      throw new IllegalArgumentException(
          "component %s has %d repeated values: at least 2 show how they scatter"
              .formatted(name, n));
    }
    BigDecimal count = BigDecimal.valueOf(n);
    BigDecimal less = BigDecimal.valueOf(n - 1L);
    BigDecimal variance =
        Correlation.products(values, values)
            .divide(count.multiply(count).multiply(less), MathContext.DECIMAL128);
    return new Component(
        name,
        variance.sqrt(MathContext.DECIMAL128),
        BigDecimal.ONE,
        Optional.of(less),
        Distribution.REPEATED);
  }

  /** Returns the same component where the figure goes this far for one unit of its quantity. */
  public Component withSensitivity(BigDecimal figurePerUnit) {
    return new Component(name, standardUncertainty, figurePerUnit, degreesOfFreedom, distribution);
  }

  /**
   * Returns the same component known only as well as this; of a type B uncertainty that is itself
   * uncertain by a share p they are 1 / (2p²) (GUM G.4.2, from memory).
   */
  public Component withDegreesOfFreedom(BigDecimal number) {
    return new Component(name, standardUncertainty, sensitivity, Optional.of(number), distribution);
  }

  /** Returns sensitivity × standard uncertainty, with the sign of the sensitivity, exactly. */
  public BigDecimal contribution() {
    return sensitivity.multiply(standardUncertainty);
  }

  private static Component within(String name, BigDecimal halfWidth, Distribution distribution) {
    return new Component(
        name, distribution.standard(halfWidth), BigDecimal.ONE, Optional.empty(), distribution);
  }
}
