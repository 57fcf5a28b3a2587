package org.tallywire.simulator.face;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.time.Duration;
import java.util.List;
import java.util.OptionalInt;
import java.util.TreeMap;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.tallywire.simulator.tester.Measurement;
import org.tallywire.simulator.tester.Measurement.Channel;
import org.tallywire.simulator.tester.Measurement.Status;

/** Readings over SCPI: SCPI-1999 volume 2, chapters 3 and 24 (from memory), and the meter's own. */
class ScpiReadingsTest {

  private static final Measurement RATIO = ScpiUnderTest.ratio("46.2039", "4.31");
  private static final Measurement OHMS =
      ScpiUnderTest.resistance(Channel.MILLIOHMS, "12.345", Status.OK);
  private static final String RATIO_VALUES =
      "+4.62039E+01,+4.31E-03,-2.0E-02,+4.002E+01,+9.91E+37,+9.91E+37,+9.91E+37";
  private static final String OHMS_VALUES =
      "+9.91E+37,+9.91E+37,+9.91E+37,+9.91E+37,+1.2345E-02,+5.000E+00,+2.15E+01";

  private final ScpiUnderTest meter = new ScpiUnderTest();

  @Test
  void aReadingHasItsElementsInOrder() {
    assertEquals(
        "\"number\",\"turns-ratio\",\"excitation-current\",\"phase-displacement\","
            + "\"test-voltage\",\"winding-resistance\",\"test-current\",\"winding-temperature\"",
        meter.ask("DATA:ELEM?"));
    meter.measure(RATIO);
    assertEquals("1," + RATIO_VALUES, meter.ask("FETC?"));
    meter.measure(OHMS);
    assertEquals("2," + OHMS_VALUES, meter.ask("FETC?"));
    assertEquals("2," + OHMS_VALUES, meter.ask("SENS:DATA?"));
    assertEquals("1," + RATIO_VALUES, meter.ask("DATA:READ? 1"));
  }

  @Test
  void labelsHaveAQueryOfTheirOwn() {
    meter.measure(RATIO);
    meter.measure(OHMS);
    assertEquals(
        "1,\"turns-ratio\",\"HV-LV\",\"A\",3,\"ok\";"
            + "2,\"winding-resistance\",\"LV\",\"b\",+9.91E+37,\"ok\"",
        meter.ask("DATA:LAB? 1;LAB?"));
    assertEquals(-222, meter.error("DATA:LAB? 3"));
    assertEquals(-222, meter.error("DATA:READ? 0"));
  }

  @Test
  @DisplayName("SCPI-1999 3.2: FETCh? without a reading is -230")
  void thereIsNoReadingYet() {
    for (String query : List.of("FETC?", "SENS:DATA?", "DATA:LAB?", "TRAC? READ")) {
      assertEquals(-230, meter.error(query), query);
    }
    meter.measure(RATIO);
    assertEquals(-230, meter.error("FETC:FRES?"), "no resistance yet");
  }

  @Test
  @DisplayName("SCPI-1999 3.3: READ? waits for the next reading")
  void readWaits() {
    meter.measure(RATIO);
    meter.say("READ?;:DATA:LAB?;*STB?");
    assertTrue(meter.heard().isEmpty());
    meter.measure(OHMS);
    assertEquals(
        List.of("2," + OHMS_VALUES + ";2,\"winding-resistance\",\"LV\",\"b\",+9.91E+37,\"ok\";16"),
        meter.heard());
  }

  @Test
  @DisplayName("SCPI-1999 3.4: MEASure waits for what it names and says only that")
  void measureWaitsForItsFunction() {
    meter.say("MEASure:SCALar:FRESistance?");
    meter.measure(RATIO);
    assertTrue(meter.heard().isEmpty(), "a ratio is no resistance");
    meter.measure(OHMS);
    assertEquals(List.of("+1.2345E-02"), meter.heard());
    assertEquals("\"FRES\";+1.2345E-02", meter.ask("CONF?;FETC?"), "it configures, too");
    assertEquals("+4.31E-03;+4.62039E+01", meter.ask("FETC:CURR:AC?;:FETC:TRAT?"));
    assertEquals("+5.000E+00;+5.000E+00", meter.ask("FETC:CURR?;CURR:DC?"));
    assertEquals("+2.15E+01;-2.0E-02", meter.ask("FETC:TEMP?;PHAS?"));
    assertEquals("+4.002E+01", meter.ask("CONF:VOLT:AC;:DATA?"));
    assertEquals("2," + OHMS_VALUES, meter.ask("FETC:ALL?"));
  }

  @Test
  @DisplayName("SCPI-1999 24: INITiate is overlapped; *OPC, *OPC? and *WAI wait for it")
  void initiateIsOverlapped() {
    meter.ask("*ESR?");
    meter.say("INIT;*OPC");
    assertEquals("0;16", meter.ask("*ESR?;:STAT:OPER:COND?"));
    assertEquals(-213, meter.error("INIT"));
    meter.say("*WAI;*ESR?;*OPC?;FETC?");
    assertTrue(meter.heard().isEmpty());
    meter.measure(RATIO);
    assertEquals(List.of("17;1;1," + RATIO_VALUES), meter.heard(), "OPC 1 and EXE 16 of -213");
    meter.say("INIT;*OPC;*CLS");
    meter.measure(RATIO);
    assertEquals("0", meter.ask("*ESR?"), "*CLS takes the wish back");
  }

  @Test
  @DisplayName("SCPI-1999 24: ABORt ends it; *RST as well")
  void abortEndsIt() {
    for (String end : List.of("ABOR", "*RST", "CONF:ALL")) {
      meter.say("INIT");
      assertEquals("16", meter.ask("STAT:OPER:COND?"));
      meter.say(end);
      assertEquals("0;1", meter.ask("STAT:OPER:COND?;*OPC?"), end);
    }
  }

  @Test
  @DisplayName("-410: a new message ends a query that waits, and is carried out")
  void aNewMessageInterruptsAQuery() {
    meter.say("READ?");
    assertEquals("1999.0", meter.ask("SYST:VERS?"));
    assertEquals(-410, meter.nextError());
    meter.say("READ?");
    meter.say("READ?");
    meter.measure(RATIO);
    assertEquals(List.of("1," + RATIO_VALUES), meter.heard());
  }

  @Test
  void whileOnlyWaiWaitsMessagesAreKept() {
    meter.say("INIT;*WAI");
    meter.say("FETC?");
    for (int i = 0; i < 15; i++) {
      meter.say("*ESE 1");
    }
    meter.say("*ESE 2");
    assertTrue(meter.heard().isEmpty());
    meter.measure(RATIO);
    assertEquals(List.of("1," + RATIO_VALUES), meter.heard());
    assertEquals("1;-363,\"Input buffer overrun\"", meter.ask("*ESE?;:SYST:ERR?"));
  }

  @Test
  @DisplayName("-365: after ten minutes a measurement is given up and its query has no answer")
  void aMeasurementIsGivenUp() {
    meter.measure(RATIO);
    meter.say("READ:FRES?");
    meter.pass(Duration.ofSeconds(599));
    assertEquals(Duration.ofSeconds(1).toNanos(), meter.untilNext());
    assertTrue(meter.heard().isEmpty());
    meter.pass(Duration.ofSeconds(1));
    assertTrue(meter.heard().isEmpty());
    assertEquals(-365, meter.nextError());
    assertEquals(-230, meter.nextError());
    assertEquals(Long.MAX_VALUE, meter.untilNext());
    meter.measure(RATIO);
    assertEquals("2," + RATIO_VALUES, meter.ask("FETC?"));
  }

  @Test
  void overRangeAndOpenAreTheStandardsNumbers() {
    meter.measure(ScpiUnderTest.ratio("46.2039", "over-range"));
    assertEquals("+9.9E+37", meter.ask("FETC:CURR:AC?"));
    meter.measure(ScpiUnderTest.resistance(Channel.OHMS, "open", Status.SUSPECT));
    assertEquals("+9.91E+37", meter.ask("FETC:FRES?"));
    assertEquals("2,\"winding-resistance\",\"LV\",\"b\",+9.91E+37,\"suspect\"", labels());
  }

  private String labels() {
    return meter.ask("DATA:LAB?");
  }

  @Test
  @DisplayName("SCPI-1999 TRACe: stored readings as a list and, the meter's own, as a block")
  void storedReadings() {
    assertEquals("\"READINGS\";0", meter.ask("TRAC:CAT?;POIN? READ"));
    assertEquals("#10", meter.ask("TRAC:BLOC? READINGS"));
    meter.measure(RATIO);
    meter.measure(OHMS);
    assertEquals("2", meter.ask("TRAC:POIN? read"));
    assertEquals("1," + RATIO_VALUES + ",2," + OHMS_VALUES, meter.ask("TRAC? READ"));
    String lines =
        "1,\"turns-ratio\",\"HV-LV\",\"A\",3,\"ok\","
            + RATIO_VALUES
            + "\n2,\"winding-resistance\",\"LV\",\"b\",+9.91E+37,\"ok\","
            + OHMS_VALUES
            + "\n";
    assertEquals("#3" + lines.length() + lines, meter.ask("TRAC:BLOC? READ"));
    assertEquals("0", meter.ask("TRAC:DEL READ;POIN? READ"));
    assertEquals(-230, meter.error("FETC?"));
    meter.measure(RATIO);
    assertEquals("3," + RATIO_VALUES, meter.ask("FETC?"), "the number goes on");
  }

  @Test
  void theOldestGoWhenTheStoreIsFull() {
    for (int i = 0; i < ScpiMeter.CAPACITY + 1; i++) {
      meter.measure(RATIO);
    }
    assertEquals("" + ScpiMeter.CAPACITY, meter.ask("TRAC:POIN? READ"));
    assertEquals(-222, meter.error("DATA:READ? 1"));
    assertTrue(meter.ask("DATA:READ? 2").startsWith("2,"));
  }

  @Test
  void anAnswerSaysWhichReadingItCarries() {
    meter.measure(RATIO);
    meter.measure(OHMS);
    meter.say("DATA:READ? 1");
    assertEquals(1, meter.next().orElseThrow().seq());
    meter.say("FETC?;:DATA:LAB? 1");
    assertEquals(2, meter.next().orElseThrow().seq());
    meter.say("*IDN?");
    assertEquals(0, meter.next().orElseThrow().seq());
  }

  @ParameterizedTest
  @ValueSource(
      strings = {"FETC?", "READ?", "INIT", "MEAS:TEMP?", "SENS:DATA?", "DATA:LAB?", "TRAC? READ"})
  void aMeasuringCommandAsks(String message) {
    meter.say("*IDN?;:CONF:FRES;*RST;FORM?;:ABOR");
    assertFalse(meter.face.asked());
    meter.say(message);
    assertTrue(meter.face.asked());
  }

  @Test
  void theLinkGoesWhileAQueryWaits() {
    meter.say("READ?");
    meter.face.linkLost();
    meter.measure(RATIO);
    assertTrue(meter.heard().isEmpty());
    assertEquals("1," + RATIO_VALUES, meter.ask("FETC?"));
    assertEquals(0, meter.nextError());
  }

  @Test
  void aReadingWithNothingInItIsStillOne() {
    meter.measure(
        new Measurement(
            "turns-ratio", "H\"V", "A", OptionalInt.of(-1), new TreeMap<>(), Status.ABORTED, 1));
    assertEquals("1" + ("," + ScpiUnderTest.NONE).repeat(7), meter.ask("FETC?"));
    assertEquals("1,\"turns-ratio\",\"H\"\"V\",\"A\",-1,\"aborted\"", labels());
  }
}
