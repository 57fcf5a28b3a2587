package org.tallywire.acceptance;

import java.math.BigDecimal;
import org.tallywire.acceptance.resistance.Celsius;
import org.tallywire.acceptance.resistance.Conductor;
import org.tallywire.acceptance.resistance.ConductorConstants;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;

/**
 * Brings winding resistances to the nameplate's reference temperature, with the constant that the
 * table of criteria has for the winding's conductor.
 */
record Correction(Nameplate nameplate, ConductorConstants constants) {

  BigDecimal corrected(BookedReading booked) throws UndecidableException {
    BigDecimal measured = Figures.positive(booked, Quantity.WINDING_RESISTANCE, Unit.OHM);
    return constants
        .correction(conductor(booked.step()))
        .corrected(measured, temperature(booked), nameplate.referenceTemperature());
  }

  BigDecimal temperature(BookedReading booked) throws UndecidableException {
    BigDecimal temperature = Figures.number(booked, Quantity.WINDING_TEMPERATURE, Unit.CELSIUS);
    if (!Celsius.plausible(temperature)) {
      throw new UndecidableException(
          "the winding temperature is %s °C, not %s"
              .formatted(temperature.toPlainString(), Celsius.RANGE),
          "Check the temperature sensor, and take it again.");
    }
    return temperature;
  }

  String referenceText() {
    return Figures.bare(nameplate.referenceTemperature()) + " °C";
  }

  private Conductor conductor(Step step) throws UndecidableException {
    return switch (step.windings()) {
      case Step.HV -> nameplate.hvConductor();
      case Step.LV -> nameplate.lvConductor();
      default ->
          throw new UndecidableException(
              "the nameplate does not say what the windings %s are made of"
                  .formatted(step.windings()),
              "Book the reading to a step on HV or LV.");
    };
  }
}
