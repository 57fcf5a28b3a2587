package org.tallywire.simulator.face;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.List;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;

/** How messages are read: IEEE 488.2 chapter 7, SCPI-1999 volume 1, chapter 6 (from memory). */
class ScpiSyntaxTest {

  private static final String VERSION = "1999.0";

  private final ScpiUnderTest meter = new ScpiUnderTest();

  @ParameterizedTest
  @ValueSource(
      strings = {
        "SYSTem:VERSion?",
        "SYST:VERS?",
        "syst:version?",
        "SYSTEM:vers?",
        ":SYST:VERS?",
        "  SYST:VERS?\t ",
        "SYST1:VERS1?",
        "SYST:VERS?\r",
        "\u0000\u0001SYST:VERS?"
      })
  @DisplayName("SCPI-1999 6.2.1, 6.2.5; IEEE 488.2 7.4.1, 7.6.1: forms of one header")
  void formsOfOneHeader(String message) {
    assertEquals(VERSION, meter.ask(message));
    assertEquals(0, meter.nextError());
  }

  @ParameterizedTest
  @DisplayName("SCPI-1999 6.2.1: nothing between short and long form")
  @ValueSource(strings = {"SYSTE:VERS?", "SYS:VERS?", "SYST:VERSI?", "SYST:VER?", "SYSTEMS:VERS?"})
  void nothingBetweenShortAndLongForm(String message) {
    assertEquals(-113, meter.error(message));
  }

  @Test
  @DisplayName("SCPI-1999 5.1: a node in brackets may be left out")
  void nodesMayBeLeftOut() {
    for (String header : List.of("SYST:ERR?", "SYST:ERR:NEXT?")) {
      assertEquals(ScpiUnderTest.NO_ERROR, meter.ask(header));
    }
    for (String header : List.of("FORM?", "FORM:DATA?")) {
      assertEquals("ASC,0", meter.ask(header));
    }
    for (String header : List.of("DATA:UNIT?", "SENS:DATA:UNIT?", "SENSE1:DATA:UNITS?")) {
      assertEquals("\"1\",\"1\",\"A\",\"DEG\",\"V\",\"OHM\",\"A\",\"CEL\"", meter.ask(header));
    }
    assertEquals(-113, meter.error("NEXT?"));
    assertEquals(-113, meter.error("SENS?"));
  }

  @ParameterizedTest
  @DisplayName("SCPI-1999 6.2.4: the path of a compound message")
  @CsvSource(
      delimiter = '|',
      value = {
        "SYST:ERR?;VERS? | 0,\"No error\";1999.0",
        "SYST:ERR?;*ESE?;VERS? | 0,\"No error\";0;1999.0",
        "SYST:ERR?;:SYST:VERS? | 0,\"No error\";1999.0",
        ":SYST:ERR:COUN?;NEXT?;:UNIT:ANGL? | 0;0,\"No error\";DEG",
        "STAT:OPER:ENAB 16;ENAB?;COND? | 16;0",
        "STAT:OPER:ENAB 3;:STAT:QUES:ENAB 5;ENAB?;:STAT:OPER:ENAB? | 5;3",
        "*ESE 4;*ESE? ; *SRE 36 ;*SRE? | 4;36"
      })
  void thePathOfACompoundMessage(String message, String expected) {
    assertEquals(expected, meter.ask(message));
    assertEquals(0, meter.nextError());
  }

  @Test
  @DisplayName("SCPI-1999 6.2.4: below the path first written, not at the root")
  void theRootNeedsItsColon() {
    assertEquals("0,\"No error\"", meter.ask("SYST:ERR?;SYST:VERS?"));
    assertEquals(-113, meter.nextError());
    assertEquals(VERSION, meter.ask("SYST:VERS?"), "the next message begins at the root");
  }

  @ParameterizedTest
  @DisplayName("SCPI-1999 volume 2, 21.8: what is wrong has its number")
  @CsvSource(
      delimiter = '|',
      quoteCharacter = '`',
      value = {
        "HELLO | -113",
        "*HELLO? | -113",
        "SYST:VERS | -113",
        "*RST? | -113",
        "RES? | -113",
        "MEAS:RES? | -113",
        "SYST2:VERS? | -114",
        "*ESE | -109",
        "TRAC:DATA? | -109",
        "TRAC:DATA? READ, | -109",
        "*ESE 1,2 | -108",
        "*IDN? 1 | -108",
        "SYST:ERR? 0 | -108",
        "*ESE 256 | -222",
        "*ESE -1 | -222",
        "*ESE 1E32000 | -222",
        "*ESE 1E32001 | -123",
        "*ESE 1E99999999999 | -123",
        "STAT:OPER:ENAB 65536 | -222",
        "FORM REAL | -224",
        "FORM ASC,7 | -222",
        "UNIT:ANGL RAD | -224",
        "TRAC? NOPE | -224",
        "*ESE ON | -104",
        "*ESE \"4\" | -104",
        "FORM 3 | -104",
        "FORM 'ASC' | -104",
        "*ESE 4x | -121",
        "*ESE +-4 | -121",
        "*ESE 1 2 | -121",
        "*ESE #14WXYZ | -168",
        "*ESE #HG | -168",
        "*ESE (@1) | -178",
        "*ESE \"4 | -151",
        "*ESE \"4\"5\" | -151",
        "*ESE ' | -151",
        "FORM A+B | -102",
        "FORM ABCDEFGHIJKLM | -112",
        "ABCDEFGHIJKLM? | -112",
        "123 | -110",
        "; | -102",
        ":*IDN? | -110",
        "*IDN?? | -111",
        "SYST::VERS? | -111",
        "SYST:VERS#? | -111",
        "SYST:V\u00E9RS? | -101"
      })
  void whatIsWrongHasItsNumber(String message, int number) {
    assertEquals(number, meter.error(message), message);
    assertEquals(0, meter.nextError(), "one error each");
    assertEquals(VERSION, meter.ask("SYST:VERS?"));
  }

  @ParameterizedTest
  @DisplayName("IEEE 488.2 7.7.2, 7.7.4, 10.10.2: forms of a number, rounded")
  @CsvSource({
    "4, 4",
    "+4., 4",
    ".4e1, 4",
    "4000 E -3, 4",
    "3.5, 4",
    "255.4, 255",
    "-0.4, 0",
    "#H1f, 31",
    "#q17, 15",
    "#B101, 5"
  })
  void formsOfANumber(String number, int expected) {
    assertEquals(Integer.toString(expected), meter.ask("*ESE " + number + ";*ESE?"));
  }

  @Test
  @DisplayName("IEEE 488.2 7.3.3: a semicolon and a comma in a string separate nothing")
  void aStringHoldsSeparators() {
    assertEquals(-104, meter.error("*ESE \"1;*IDN?,2\""));
    assertEquals(-104, meter.error("*ESE 'it''s'"));
  }

  @Test
  @DisplayName("after a command error the rest is dropped, after an execution error it is not")
  void whatFollowsAnError() {
    assertEquals(-113, meter.error("NOPE;*IDN?"));
    assertEquals(VERSION, meter.ask("SYST:VERS?;;*IDN?"), "what was answered before stays");
    assertEquals(-102, meter.nextError());
    assertEquals(VERSION, meter.ask("*ESE 999;SYST:VERS?"));
    assertEquals(-222, meter.nextError());
  }

  @Test
  @DisplayName("IEEE 488.2 7.3.1, 7.5: empty messages say nothing, messages may be joined")
  void messagesMayBeJoinedAndTorn() {
    meter.sayBytes("\n\r\n \n*ESE 4\n*ESE?\nSYST:VERS?\n");
    assertEquals(List.of("4", VERSION), meter.heard());
    for (char c : "*ESE?;:SYST:VERS?\r\n".toCharArray()) {
      assertTrue(meter.heard().isEmpty());
      meter.sayBytes("" + c);
    }
    assertEquals(List.of("4;" + VERSION), meter.heard());
    assertEquals(0, meter.nextError());
  }

  @Test
  @DisplayName("-363: a message of 1024 bytes is read, a longer one is not")
  void aMessageMayBeTooLong() {
    String query = "SYST:VERS?";
    String longest = " ".repeat(ScpiInput.LONGEST - query.length()) + query;
    assertEquals(VERSION, meter.ask(longest));
    assertEquals(-363, meter.error(" " + longest));
    assertEquals(-363, meter.error(" ".repeat(ScpiInput.LONGEST) + query));
    assertEquals(-363, meter.error("x".repeat(100_000) + ";" + query));
    assertEquals(VERSION, meter.ask(query));
  }

  @Test
  void whatWasHalfSaidIsGoneWithTheLink() {
    meter.sayBytes("*IDN?;");
    meter.face.linkLost();
    assertEquals(VERSION, meter.ask("SYST:VERS?"));
  }
}
