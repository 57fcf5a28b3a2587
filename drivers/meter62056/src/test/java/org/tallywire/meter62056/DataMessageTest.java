package org.tallywire.meter62056;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.List;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;
import org.tallywire.api.FaultCode;
import org.tallywire.api.FrameException;

/**
 * Data messages. <i>Notes</i> are the public notes "IEC 62056-21 and derivatives" (L. van Zon, in
 * the repository lvzon/dsmr-p1-parser); <i>derived</i> is what was reckoned from their rules.
 */
class DataMessageTest {

  private static final String ENERGY = "1-0:1.8.1(000581.161*kWh)\r\n";

  private static List<Register> registers(String lines) throws FrameException {
    return DataMessage.registers(Line.bytes(Line.message(lines)));
  }

  @Test
  @DisplayName("BCC: break command SOH B0 ETX q (notes); password command … a (memory)")
  void commands() {
    assertTrue(BlockCheck.fits(Line.bytes("\u0001B0\u0003q")));
    assertTrue(BlockCheck.fits(Line.bytes("\u0001P1\u0002(00000000)\u0003a")));
    assertFalse(BlockCheck.fits(Line.bytes("\u0001B0\u0003p")));
  }

  @Test
  @DisplayName("BCC of data messages: 67 hex, 12 hex (derived)")
  void messages() {
    assertTrue(BlockCheck.fits(Line.bytes("\u0002" + ENERGY + "!\r\n\u0003g")));
    assertTrue(
        BlockCheck.fits(
            Line.bytes("\u0002" + ENERGY + "1-0:32.7.0(0230.0*V)\r\n!\r\n\u0003\u0012")));
  }

  @Test
  @DisplayName("A data line: address, value, unit (notes)")
  void dataLine() throws FrameException {
    assertEquals(
        List.of(new Register(new Code("1-0", "1.8.1", ""), "000581.161", "kWh")),
        registers(ENERGY));
  }

  @Test
  @DisplayName("Several in a line, values without unit, more values at one address (notes, memory)")
  void shapes() throws FrameException {
    List<Register> found =
        registers(
            """
            F.F(00)
            32.7.0(230.1*V)52.7.0(229.8*V)
            1.6.0(1.23*kW)(2603021015)
            1-0:1.8.0*01(5*kWh)
            0.9.1()
            """
                .replace("\n", "\r\n"));
    assertEquals(7, found.size());
    assertEquals(new Register(Code.of("F.F"), "00", ""), found.get(0));
    assertEquals(new Register(Code.of("52.7.0"), "229.8", "V"), found.get(2));
    assertEquals(new Register(Code.of("1.6.0"), "2603021015", ""), found.get(4));
    assertEquals("01", found.get(5).code().period());
    assertEquals(List.of(), registers(""));
  }

  @ParameterizedTest
  @DisplayName("What is not of that form is refused whole")
  @ValueSource(
      strings = {
        "1.8.0\r\n", "1.8.0(1*kWh\r\n", "(1*kWh)\r\n", "1.8.0)1(\r\n", "1.8.0(1*kWh)x\r\n",
        "1.8.0(1(2))\r\n", "1.8.0(1*k*h)\r\n", "1234567890.234567(1)\r\n", "1.8.0(1)",
            "1.8.0(1/2)\r\n"
      })
  void refused(String lines) {
    FrameException fault = assertThrows(FrameException.class, () -> registers(lines));
    assertEquals(FaultCode.FRAME_SYNTAX, fault.code());
  }

  @ParameterizedTest
  @DisplayName(
      "OBIS: what a code tells (notes: 1 import active, 32/52/72 voltages, 7, 8; else memory)")
  @CsvSource({
    "1.8.0, active-energy-import",
    "1-0:1.8.2, active-energy-import-tariff-2",
    "1-0:2.8.0*255, active-energy-export",
    "52.7.0, voltage-l2",
    "71.7.0, current-l3",
    "1.6.0, active-power-import-maximum",
    "14.7.0, frequency",
    "1.8.0*01, ''",
    "1-1:1.8.0, ''",
    "7-0:3.0.0, ''",
    "C.1.0, ''"
  })
  void obis(String code, String word) {
    assertEquals(word, ObisTable.quantity(Code.of(code)).orElse(""));
  }

  @ParameterizedTest
  @DisplayName("Identification: speeds of modes C (notes) and B (memory; notes: A is 300)")
  @CsvSource({
    "/XYZ0ident, C, 300, 300, 200",
    "/XYZ5ident, C, 9600, 9600, 200",
    "/XYz6ident, C, 19200, 19200, 20",
    "/XYZ5\\2ident, C, 9600, 9600, 200",
    "/XYZ9ident, C, 300, 300, 200",
    "/XYZAident, B, 600, 300, 200",
    "/XYZFident, B, 19200, 9600, 200",
    "/XYZ ident, A, 300, 300, 200",
    "/XYZPident, A, 300, 300, 200"
  })
  void identification(String line, String mode, int baud, int otherTable, int reaction)
      throws FrameException {
    Identification found = Identification.of(frame(line));
    assertEquals(Identification.Mode.valueOf(mode), found.mode());
    assertEquals(baud, found.baud(300, 600));
    assertEquals(otherTable, found.baud(300, 300));
    assertEquals(reaction, found.reactionMillis());
    assertTrue(found.model().endsWith("ident") && !found.model().contains("\\"), found.model());
  }

  @ParameterizedTest
  @ValueSource(strings = {"/XY", "/X1Z5a", "/XYZGident", "/XYZ5a!b"})
  void noIdentification(String line) {
    assertThrows(FrameException.class, () -> Identification.of(frame(line)));
  }

  private static org.tallywire.api.Frame frame(String text) {
    return new org.tallywire.api.Frame(Line.bytes(text), java.time.Instant.EPOCH);
  }
}
