package org.tallywire.scpi;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;
import org.tallywire.api.Command.Effect;
import org.tallywire.api.DriverDescription.Memory;

class ScpiSettingsTest {

  private static String refusal(String... pairs) {
    return String.valueOf(
        assertThrows(IllegalArgumentException.class, () -> ScpiSettings.of(Wire.settings(pairs)))
            .getMessage());
  }

  @ParameterizedTest
  @DisplayName(
      "SCPI-1999 volume 2, chapter 3: what starts a measurement is declared so, in any form")
  @ValueSource(
      strings = {
        "READ?", "read?", ":READ?", "MEAS?", "MEASure:VOLTage:DC?", "meas:res?", "MEAS2:CURR?",
        "FETC?;:READ?", "*IDN?;*TRG", "*TST?", "*CAL?", "CAL:ALL?", "INIT;:FETC?",
            "INITiate:IMMediate;FETCh?",
        "SENS:READ?", "OUTP ON", "*RST", "TRIG:DEL?", "FETC? \"a\";MEAS?", "FETC? \"a;\";INIT",
            "CONF:RES;:FETC?"
      })
  void measuring(String message) {
    assertEquals(Effect.MEASURE, Effects.of(message));
    String sentence = refusal("query", message);
    assertTrue(sentence.contains("confirm it at the bench"), sentence);
  }

  @ParameterizedTest
  @ValueSource(
      strings = {
        "FETCh?",
        "FETCh?;:DATA:LABel?",
        "SENS:DATA?",
        "TRACe:BLOCk? READings",
        "*IDN?",
        "*ESR?",
        "SYST:ERR?",
        "DATA:READing? 5;:DATA:LABel? 5",
        "FETC? \"READ?;INIT\"",
        "CONF?"
      })
  void telling(String message) {
    assertEquals(Effect.QUERY, Effects.of(message));
  }

  @ParameterizedTest
  @DisplayName("What cannot be so is said in a sentence that names the setting")
  @CsvSource(
      delimiter = '|',
      value = {
        "fields|number, status|no value",
        "fields|turns-ratio|is not number, status",
        "fields|turns-ratio 1, label Phase|a label's name",
        "fields|turns-ratio 1, label a, label a|twice",
        "fields|turns-ratio 1 times 0|factor of 0",
        "fields||is not number",
        "every|0|0.1 to 86400",
        "every|soon|0.1 to 86400",
        "answer|601|0.1 to 600",
        "repeats|often|drop or keep",
        "end|cr lf|cr or crlf or lf",
        "query|?|2 to 200"
      })
  void refused(String name, String value, String words) {
    String sentence = refusal(name, value == null ? "" : value);
    assertTrue(sentence.contains('"' + name + '"') && sentence.contains(words), sentence);
  }

  @Test
  void missedNeedsNumbers() {
    assertTrue(
        refusal("fields", "turns-ratio 1", "missed", "DATA? {number}")
            .contains("needs \"number\""));
  }

  @Test
  @DisplayName("An instrument has numbers if the fields say so")
  void memory() {
    ScpiDriver driver = new ScpiDriver();
    assertEquals(Memory.NUMBERS, driver.configured(Wire.settings()).description().memory());
    assertEquals(
        Memory.NONE,
        driver.configured(Wire.settings("fields", "turns-ratio 1")).description().memory());
  }
}
