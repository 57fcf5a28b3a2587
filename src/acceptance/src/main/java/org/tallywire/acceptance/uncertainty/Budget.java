package org.tallywire.acceptance.uncertainty;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;

/**
 * The components of a figure's uncertainty, to be combined: u² = Σ (c u)² + 2 ΣΣ c c' u u' r.
 * Source: GUM 5.1 and 5.2 (formula found, clauses from memory).
 *
 * @param components with names that differ
 * @param correlations at most one for two components
 */
public record Budget(List<Component> components, List<Correlation> correlations) {

  private static final BigDecimal TWO = BigDecimal.valueOf(2);
  private static final int DECIMALS = 6;

  /** Share of the sum of squares below which a variance is zero but for rounding. */
  private static final BigDecimal ROUNDING = new BigDecimal("1e-30");

  /**
   * Makes a budget.
   *
   * @throws IllegalArgumentException for no component, two of one name, or a correlation that names
   *     none, or two of the same pair
   */
  public Budget {
    components = List.copyOf(components);
    correlations = List.copyOf(correlations);
    if (components.isEmpty()) {
      throw new IllegalArgumentException("a budget of uncertainty has no components");
    }
    List<String> names = new ArrayList<>();
    for (Component component : components) {
      if (names.contains(component.name())) {
        throw new IllegalArgumentException(
            "a budget of uncertainty has two components %s".formatted(component.name()));
      }
      names.add(component.name());
    }
    List<String> pairs = new ArrayList<>();
    for (Correlation correlation : correlations) {
      named(correlation.first(), names);
      named(correlation.second(), names);
      if (pairs.contains(correlation.first() + "\n" + correlation.second())) {
        throw new IllegalArgumentException(
            "%s and %s are correlated twice".formatted(correlation.first(), correlation.second()));
      }
      pairs.add(correlation.first() + "\n" + correlation.second());
      pairs.add(correlation.second() + "\n" + correlation.first());
    }
  }

  /** Returns the budget of components that have nothing to do with each other. */
  public static Budget of(List<Component> components) {
    return new Budget(components, List.of());
  }

  /** Returns the budget of components that have nothing to do with each other. */
  public static Budget of(Component... components) {
    return of(List.of(components));
  }

  /** Returns the same budget with one more correlation. */
  public Budget with(Correlation correlation) {
    List<Correlation> more = new ArrayList<>(correlations);
    more.add(correlation);
    return new Budget(components, more);
  }

  /**
   * Combines the components, for a level of confidence of 95.45 %.
   *
   * @throws IllegalArgumentException if the correlations cannot all hold together
   */
  public Uncertainty combine() {
    return combine(Coverage.USUAL);
  }

  /**
   * Combines the components.
   *
   * @param percent level of confidence
   * @throws IllegalArgumentException if the correlations cannot all hold together, or for a level
   *     that is not between 0 and 100
   */
  public Uncertainty combine(BigDecimal percent) {
    BigDecimal variance = variance();
    BigDecimal standard = variance.sqrt(MathContext.DECIMAL128);
    Optional<BigDecimal> degreesOfFreedom = degreesOfFreedom(variance);
    BigDecimal factor = Coverage.factor(percent, degreesOfFreedom);
    return new Uncertainty(
        standard,
        degreesOfFreedom,
        percent,
        factor,
        factor.multiply(standard, MathContext.DECIMAL128),
        components,
        correlations);
  }

  private BigDecimal variance() {
    Map<String, BigDecimal> contributions = new HashMap<>();
    BigDecimal squares = BigDecimal.ZERO;
    for (Component component : components) {
      BigDecimal contribution = component.contribution();
      contributions.put(component.name(), contribution);
      squares = squares.add(contribution.multiply(contribution));
    }
    BigDecimal variance = squares;
    for (Correlation correlation : correlations) {
      BigDecimal product =
          contributions
              .getOrDefault(correlation.first(), BigDecimal.ZERO)
              .multiply(contributions.getOrDefault(correlation.second(), BigDecimal.ZERO));
      variance = variance.add(product.multiply(correlation.coefficient()).multiply(TWO));
    }
    if (variance.signum() >= 0) {
      return variance;
    }
    if (variance.negate().compareTo(squares.multiply(ROUNDING)) > 0) {
      throw new IllegalArgumentException(
          "the correlations of a budget cannot all hold together: the variance would be %s"
              .formatted(variance.round(MathContext.DECIMAL32)));
    }
    return BigDecimal.ZERO;
  }

  /**
   * Returns u⁴ / Σ ((c u)⁴ / ν), rounded to 6 decimals, or nothing if it is infinite. Source:
   * Welch–Satterthwaite, GUM G.4.1 (found). It holds for independent components; with correlations
   * the least degrees of freedom of any component that contributes are taken instead (practice; no
   * more than the formula gives for independent ones, and n − 1 for readings taken together).
   */
  private Optional<BigDecimal> degreesOfFreedom(BigDecimal variance) {
    BigDecimal sum = BigDecimal.ZERO;
    Optional<BigDecimal> least = Optional.empty();
    for (Component component : components) {
      BigDecimal contribution = component.contribution();
      if (component.degreesOfFreedom().isPresent() && contribution.signum() != 0) {
        BigDecimal own = component.degreesOfFreedom().orElseThrow();
        least = Optional.of(least.map(own::min).orElse(own));
        BigDecimal square = contribution.multiply(contribution);
        sum = sum.add(square.multiply(square).divide(own, MathContext.DECIMAL128));
      }
    }
    boolean independent = correlations.stream().allMatch(c -> c.coefficient().signum() == 0);
    if (least.isEmpty() || !independent) {
      return least;
    }
    BigDecimal effective = variance.multiply(variance).divide(sum, MathContext.DECIMAL128);
    return Optional.of(effective.setScale(DECIMALS, RoundingMode.HALF_EVEN));
  }

  private static void named(String name, List<String> names) {
    if (!names.contains(name)) {
      throw new IllegalArgumentException(
          "a correlation names %s, which is no component of the budget".formatted(name));
    }
  }
}
