package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.math.MathContext;
import org.tallywire.acceptance.resistance.Celsius;
import org.tallywire.acceptance.resistance.Conductor;
import org.tallywire.acceptance.resistance.ConductorConstants;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;

/**
 * Brings winding resistances to the nameplate's reference temperature: R2 = R1 (T_k + θ2) / (T_k +
 * θ1), θ in °C, T_k of the winding's conductor (IEEE C57.12.90/.91; see {@link Conductor}).
 */
record Correction(Nameplate nameplate, ConductorConstants constants) {

  BigDecimal corrected(BookedReading booked) throws UndecidableException {
    BigDecimal measured = Figures.positive(booked, Quantity.WINDING_RESISTANCE, Unit.OHM);
    BigDecimal constant = constants.of(conductor(booked.step()));
    return measured
        .multiply(constant.add(nameplate.referenceTemperature()))
        .divide(constant.add(temperature(booked)), MathContext.DECIMAL128);
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
