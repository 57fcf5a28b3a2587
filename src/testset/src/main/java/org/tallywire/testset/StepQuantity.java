package org.tallywire.testset;

import java.util.Map;
import org.tallywire.acceptance.Step;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;

/** Tells which quantity a reading must have to be of a step. */
final class StepQuantity {

  private static final Map<String, Quantity> OF_TEST =
      Map.of(
          Step.TURNS_RATIO, Quantity.TURNS_RATIO,
          Step.WINDING_RESISTANCE, Quantity.WINDING_RESISTANCE,
          Step.INSULATION_RESISTANCE, Quantity.INSULATION_RESISTANCE,
          Step.SHORT_CIRCUIT_IMPEDANCE, Quantity.SHORT_CIRCUIT_VOLTAGE);

  private StepQuantity() {}

  static boolean isIn(Reading reading, Step step) {
    Quantity quantity = OF_TEST.get(step.test());
    return quantity != null && reading.measured(quantity).isPresent();
  }
}
