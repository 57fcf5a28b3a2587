package org.tallywire.acceptance.uncertainty;

import java.math.BigDecimal;
import java.util.List;
import java.util.Optional;

/**
 * The uncertainty of a figure, with everything that it was made of.
 *
 * @param standard combined standard uncertainty, to 34 digits
 * @param degreesOfFreedom effective, rounded to 6 decimals; none where they are infinite
 * @param level of confidence in %
 * @param coverageFactor rounded to 4 decimals
 * @param expanded coverage factor × standard, to 34 digits
 * @param components that went in, in their order
 * @param correlations that went in
 */
public record Uncertainty(
    BigDecimal standard,
    Optional<BigDecimal> degreesOfFreedom,
    BigDecimal level,
    BigDecimal coverageFactor,
    BigDecimal expanded,
    List<Component> components,
    List<Correlation> correlations) {

  public Uncertainty {
    components = List.copyOf(components);
    correlations = List.copyOf(correlations);
  }
}
