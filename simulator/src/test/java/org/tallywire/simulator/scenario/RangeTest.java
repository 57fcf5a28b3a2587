package org.tallywire.simulator.scenario;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.math.BigDecimal;
import java.util.Optional;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.tallywire.simulator.scenario.Problems.Place;

/** Amounts with units; factors are those of the SI, by hand. */
final class RangeTest {

  private static Optional<BigDecimal> read(Measure measure, String text) {
    Written written = new Written(text, new Place(1, 1), "key", Problems.inLine());
    return Range.of(measure, "-1e9", "1e9", "1").read(written).map(BigDecimal::stripTrailingZeros);
  }

  @ParameterizedTest
  @CsvSource({
    "POWER, 250 kVA, 250",
    "POWER, 2.5 MVA, 2500",
    "POWER, 500 VA, 0.5",
    "VOLTAGE, 11000 V, 11000",
    "VOLTAGE, 11 000 V, 11000",
    "VOLTAGE, 11\u2009000 V, 11000",
    "VOLTAGE, 11\u00a0000\u202fV, 11000",
    "VOLTAGE, 1 234 567.5 V, 1234567.5",
    "VOLTAGE, 11kV, 11000",
    "CURRENT, 100 mA, 0.1",
    "RESISTANCE, 0.4 mΩ, 0.0004",
    "RESISTANCE, 0.4 m\u2126, 0.0004",
    "RESISTANCE, 12 µΩ, 0.000012",
    "RESISTANCE, 12 μΩ, 0.000012",
    "RESISTANCE, 12 uOhm, 0.000012",
    "SHARE, 8 %, 0.08",
    "SHARE, 25 ppm, 0.000025",
    "PERCENTAGE, 0.03 %, 0.03",
    "PERCENTAGE, 300 ppm, 0.03",
    "FREQUENCY, 16.7 Hz, 16.7",
    "TIME, 500 ms, 0.5",
    "TIME, 2 min, 120",
    "TIME, -1.5 h, -5400",
    "TIME, \u22122 d, -172800",
    "TEMPERATURE, +16 °C, 16",
    "TEMPERATURE, 16 degC, 16",
    "DIFFERENCE, 25 K, 25",
    "FLUX_DENSITY, -0.8 T, -0.8",
    "NUMBER, 5, 5"
  })
  @DisplayName("amounts")
  void amounts(Measure measure, String text, BigDecimal amount) {
    assertEquals(Optional.of(amount.stripTrailingZeros()), read(measure, text));
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = ';',
      value = {
        "VOLTAGE; 11 00 V",
        "VOLTAGE; 11 0000 V",
        "VOLTAGE; 1e3 V",
        "VOLTAGE; .5 V",
        "VOLTAGE; 5. V",
        "VOLTAGE; V",
        "VOLTAGE; 11,5 V",
        "VOLTAGE; - 5 V",
        "VOLTAGE; NaN V",
        "VOLTAGE; ٣ V",
        "VOLTAGE; 5 V V",
        "VOLTAGE; 5 v",
        "TIME; 5 m",
        "NUMBER; 5 V",
        "POWER; 99999999999999999999999999999999999 kVA",
        "POWER; 99999999999999999999999999999999999999999999999999999999999999 kVA"
      })
  @DisplayName("no amounts")
  void noAmounts(Measure measure, String text) {
    assertEquals(Optional.empty(), read(measure, text));
  }

  @ParameterizedTest
  @CsvSource({
    "POWER, 2500, 2500 kVA",
    "VOLTAGE, 415.5, 415.5 V",
    "RESISTANCE, 0.0004, 400 µΩ",
    "RESISTANCE, 0.02, 20 mΩ",
    "RESISTANCE, 0, 0 Ω",
    "SHARE, 0.0728, 7.28 %",
    "PERCENTAGE, -0.5, -0.5 %",
    "TIME, 120, 2 min",
    "TIME, 90, 90 s",
    "TIME, 1.5, 1.5 s",
    "TIME, -7200, -2 h",
    "NUMBER, 5, 5"
  })
  @DisplayName("amounts as a person would write them")
  void write(Measure measure, double amount, String text) {
    assertEquals(text, measure.write(amount));
  }
}
