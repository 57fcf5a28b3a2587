package org.tallywire.acceptance.resistance;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.math.RoundingMode;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.function.Executable;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

class TemperatureCorrectionTest {

  private static final TemperatureCorrection COPPER =
      ConductorConstants.IEEE.correction(Conductor.COPPER);

  // EnergyPlus Engineering Reference: 234.5 and 225; trade pages: 235
  @Test
  void thePublishedConstants() {
    assertEquals("234.5", ConductorConstants.IEEE.of(Conductor.COPPER).toPlainString());
    assertEquals("225", ConductorConstants.IEEE.of(Conductor.ALUMINIUM).toPlainString());
    assertEquals("235", ConductorConstants.IEC.of(Conductor.COPPER).toPlainString());
    assertEquals("225", ConductorConstants.IEC.of(Conductor.ALUMINIUM).toPlainString());
    assertEquals("234.5", ConductorConstants.IEEE.of(Conductor.COPPER).toPlainString());
    assertEquals("225", ConductorConstants.IEEE.of(Conductor.ALUMINIUM).toPlainString());
    assertEquals(
        "225", ConductorConstants.IEC.correction(Conductor.ALUMINIUM).constant().toPlainString());
  }

  // factors to 75 °C and to 85 °C, derived
  @ParameterizedTest
  @CsvSource({
    "10, 75, 1.265849, 1.265306, 1.276596",
    "20, 75, 1.216110, 1.215686, 1.224490",
    "25, 75, 1.192678, 1.192308, 1.200000",
    "30, 75, 1.170132, 1.169811, 1.176471",
    "40, 75, 1.127505, 1.127273, 1.132075",
    "20, 85, 1.255403, 1.254902, 1.265306"
  })
  void factors(BigDecimal from, BigDecimal to, BigDecimal ieee, BigDecimal iec, BigDecimal al) {
    assertEquals(ieee, rounded(COPPER.factor(from, to)));
    assertEquals(
        iec, rounded(ConductorConstants.IEC.correction(Conductor.COPPER).factor(from, to)));
    assertEquals(
        al, rounded(ConductorConstants.IEEE.correction(Conductor.ALUMINIUM).factor(from, to)));
  }

  // 100 mΩ at 25 °C: 119.267823 mΩ at 75 °C, derived; 34 digits by an independent computation
  @Test
  void aResistanceIsCorrectedTo34Digits() {
    assertEquals(
        new BigDecimal("119.2678227360308285163776493256262"),
        COPPER.corrected(BigDecimal.valueOf(100), BigDecimal.valueOf(25), BigDecimal.valueOf(75)));
  }

  // R2/R1 = 1.2 from 20 °C: 71.0 °C with 235, 70.9 °C with 234.5, derived
  @Test
  void theTemperatureFollowsFromTheResistance() {
    BigDecimal cold = new BigDecimal("0.5");
    BigDecimal hot = new BigDecimal("0.6");
    assertEquals(
        0, new BigDecimal("70.9").compareTo(COPPER.temperature(cold, BigDecimal.valueOf(20), hot)));
    assertEquals(
        0,
        new BigDecimal("71")
            .compareTo(
                ConductorConstants.IEC
                    .correction(Conductor.COPPER)
                    .temperature(cold, BigDecimal.valueOf(20), hot)));
    BigDecimal there = COPPER.corrected(cold, BigDecimal.valueOf(13), BigDecimal.valueOf(77));
    assertEquals(
        new BigDecimal("77.0000000000"),
        COPPER
            .temperature(cold, BigDecimal.valueOf(13), there)
            .setScale(10, RoundingMode.HALF_EVEN));
  }

  @Test
  void whatCannotBeIsRefusedWithItsNumbers() {
    BigDecimal one = BigDecimal.ONE;
    assertRefused("-234.5", () -> COPPER.factor(new BigDecimal("-234.5"), one));
    assertRefused("-234.5", () -> COPPER.factor(one, new BigDecimal("-234.5")));
    assertTrue(COPPER.factor(one, new BigDecimal("-234.4")).signum() > 0);
    assertRefused("0", () -> COPPER.corrected(BigDecimal.ZERO, one, one));
    assertRefused("-1", () -> COPPER.temperature(one, one, one.negate()));
    assertRefused("-1", () -> COPPER.temperature(one.negate(), one, one));
    assertRefused("0", () -> new TemperatureCorrection(BigDecimal.ZERO));
    assertRefused("0", () -> new ConductorConstants("own", BigDecimal.ZERO, one, "me", "practice"));
    assertRefused("0", () -> new ConductorConstants("own", one, BigDecimal.ZERO, "me", "practice"));
  }

  private static BigDecimal rounded(BigDecimal value) {
    return value.setScale(6, RoundingMode.HALF_EVEN);
  }

  private static void assertRefused(String number, Executable act) {
    IllegalArgumentException refused = assertThrows(IllegalArgumentException.class, act);
    assertTrue(refused.getMessage().contains(number), refused.getMessage());
  }
}
