package org.tallywire.api;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.io.IOException;
import java.math.BigDecimal;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.Optional;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

class UnitTest {

  @ParameterizedTest
  @CsvSource({
    "2.3198, mOhm, Ohm, 0.0023198",
    "1, MOhm, Ohm, 1000000",
    "2.50, GOhm, MOhm, 2500",
    "0.31, TOhm, MOhm, 310000",
    "1.250, kW, W, 1250",
    "50, mA, uA, 50000",
    "0.40, kV, V, 400",
    "1.50, %, 1, 0.0150",
    "47.6402, 1, 1, 47.6402"
  })
  @DisplayName(
      "Prefixes convert exactly: UCUM essence 2.2, m = 10^-3, M = 10^6, u = 10^-6, % = 10^-2")
  void converts(String number, String from, String to, String expected) {
    assertEquals(
        new BigDecimal(expected), new Unit(from).convert(new BigDecimal(number), new Unit(to)));
  }

  @Test
  @DisplayName("Units of different things, or outside the table, do not convert")
  void refuses() {
    assertFalse(Unit.OHM.converts(Unit.VOLT));
    assertFalse(new Unit("[ft_i]").converts(new Unit("m")));
    assertThrows(IllegalArgumentException.class, () -> Unit.OHM.convert(BigDecimal.ONE, Unit.VOLT));
  }

  @ParameterizedTest
  @ValueSource(strings = {"0", "-0", "0.50", "12345678901234567890.123456789", "-7.0"})
  @DisplayName("A decimal is its text, digit for digit")
  void decimals(String text) {
    String back = Decimals.parse(text).orElseThrow().toPlainString();
    assertEquals(text.equals("-0") ? "0" : text, back);
  }

  @ParameterizedTest
  @ValueSource(
      strings = {
        "",
        "+1",
        "01",
        ".5",
        "5.",
        "1e3",
        "1E400",
        "NaN",
        "0x10",
        "1,5",
        "--1",
        "1 ",
        "١",
        "123456789012345678901234567890.123"
      })
  @DisplayName("Nothing else is a decimal (pitfall: 1e1000000000 is twelve characters long)")
  void notDecimals(String text) {
    assertEquals(Optional.empty(), Decimals.parse(text));
  }

  @Test
  @DisplayName("The names in the code stand in the shared list of quantities")
  void sharedList() throws IOException {
    String list = Files.readString(Path.of("../../shared/quantities.json"));
    for (Quantity quantity :
        new Quantity[] {
          Quantity.TURNS_RATIO,
          Quantity.PHASE_DISPLACEMENT,
          Quantity.EXCITATION_CURRENT,
          Quantity.TEST_VOLTAGE,
          Quantity.TEST_CURRENT,
          Quantity.WINDING_RESISTANCE,
          Quantity.WINDING_TEMPERATURE,
          Quantity.INSULATION_RESISTANCE,
          Quantity.INSULATION_RESISTANCE_30_S,
          Quantity.INSULATION_RESISTANCE_10_MIN,
          Quantity.SHORT_CIRCUIT_VOLTAGE,
          Quantity.SHORT_CIRCUIT_CURRENT,
          Quantity.SHORT_CIRCUIT_LOSS
        }) {
      assertEquals(1, list.split("\"name\": \"" + quantity + "\"", -1).length - 1, quantity.name());
    }
  }
}
