package org.tallywire.scpi;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Instrument;
import org.tallywire.api.LinkException;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/** Conversations in virtual time, the instrument's side by hand. */
class ScpiSessionTest {

  private static final String ME = "Example,RM-2,0042,1.3";

  private static List<Long> numbers(Wire wire) {
    return wire.host.readings().stream().map(r -> r.sequence().orElseThrow().number()).toList();
  }

  @Test
  @DisplayName("IEEE 488.2, 10.14: four fields; 0 is unknown; what is too much is firmware")
  void identities() throws Exception {
    Map<String, Instrument> answers =
        Map.of(
            ME,
            new Instrument("Example", "RM-2", "0042", "1.3"),
            "Example, RM-2 ,0,0",
            new Instrument("Example", "RM-2", "", ""),
            "Example,RM-2,7,1.3,2.0,x",
            new Instrument("Example", "RM-2", "7", "1.3,2.0,x"),
            "Example,RM-2",
            new Instrument("Example", "RM-2", "", ""));
    for (Map.Entry<String, Instrument> answer : answers.entrySet()) {
      Wire wire = new Wire(Wire.settings());
      wire.begin(answer.getKey());
      assertEquals(List.of(answer.getValue()), wire.host.instruments());
    }
    Wire wire = new Wire(Wire.settings());
    wire.begin("Example");
    wire.untilDue();
    wire.says("*IDN?", "x".repeat(65) + ",RM-2,1,1");
    assertEquals(2, wire.faults.size());
    assertEquals(List.of(), wire.host.instruments());
  }

  @Test
  @DisplayName("Elements become what the fields say; what stands for none is told before scaling")
  void fields() throws Exception {
    Wire wire =
        new Wire(
            Wire.settings(
                "fields",
                "number, turns-ratio 1, excitation-current mA times 1000, test-current A times"
                    + " 1000, winding-resistance Ohm optional, -, number, label test, label tap,"
                    + " status"));
    wire.begin(ME);
    wire.says("*ESR?", "+0");
    wire.says(
        "FETCh?",
        "1,+4.62039E+01,+4.31E-03,-9.9E+37,+9.91E+37,whatever;1,\"turns-ratio\",+9.91E+37,NOT_SETTLED");
    assertEquals(List.of(), wire.faults);
    Reading reading = wire.host.readings().get(0);
    assertEquals(Map.of("test", "turns-ratio"), reading.labels());
    assertEquals(Reading.Status.NOT_SETTLED, reading.status());
    assertEquals(
        List.of(
            new Value.Measured(Quantity.TURNS_RATIO, new BigDecimal("46.2039"), Unit.ONE),
            new Value.Measured(
                Quantity.EXCITATION_CURRENT,
                new BigDecimal("4.31000"),
                Unit.MILLIAMPERE,
                Optional.of(new BigDecimal("1000"))),
            new Value.Missing(Quantity.TEST_CURRENT, Unit.AMPERE, Value.Reason.UNDER_RANGE)),
        reading.values());
  }

  @Test
  @DisplayName("Elements of two readings in one answer are refused")
  void twoReadings() throws Exception {
    Wire wire = new Wire(Wire.settings("fields", "number, turns-ratio 1, number"));
    wire.begin(ME);
    wire.says("*ESR?", "0");
    wire.says("FETCh?", "4,25.1;5");
    assertEquals(FaultCode.FRAME_SYNTAX, wire.faults.get(0).code());
    assertEquals(List.of(), wire.host.readings());
  }

  @Test
  @DisplayName(
      "SCPI-1999, 21.8: errors are read until the queue is empty; -350 says that some are lost")
  void errorQueue() throws Exception {
    Wire wire = new Wire(Wire.settings());
    wire.begin(ME);
    wire.says("*ESR?", "32");
    wire.says("SYST:ERR?", "-113,\"Undefined header\"");
    wire.says("SYST:ERR?", "-350,\"Queue overflow\"");
    wire.says("SYST:ERR?", "+0,\"No error\"");
    wire.says("FETCh?", "1,25.1");
    assertEquals(2, wire.faults.size());
    assertEquals(FaultCode.INSTRUMENT_ERROR, wire.faults.get(0).code());
    assertTrue(wire.faults.get(1).getMessage().contains("more errors than its queue holds"));
    assertEquals(List.of(1L), numbers(wire));
  }

  @Test
  @DisplayName("A queue that never gets empty does not keep a reading out")
  void endlessErrors() throws Exception {
    Wire wire = new Wire(Wire.settings());
    wire.begin(ME);
    wire.says("*ESR?", "8");
    for (int i = 0; i < 40; i++) {
      wire.says("SYST:ERR?", "-300,\"Device-specific error\"");
    }
    wire.says("FETCh?", "1,25.1");
    assertEquals(List.of(1L), numbers(wire));
  }

  @Test
  @DisplayName("No answer: the error queue says why; -230 is no fault, but no reading yet")
  void noReadingYet() throws Exception {
    Wire wire = new Wire(Wire.settings());
    wire.begin(ME);
    wire.says("*ESR?", "0");
    assertEquals(List.of("FETCh?\n"), wire.host.takeSent());
    wire.untilDue();
    wire.says("SYST:ERR?", "-230,\"Data corrupt or stale\"");
    wire.says("SYST:ERR?", "0,\"No error\"");
    assertEquals(List.of(), wire.faults);
    assertTrue(wire.host.statuses().contains("the instrument has no reading yet"));
    wire.round("FETCh?", "1,25.1");
    assertEquals(List.of(1L), numbers(wire));
  }

  @Test
  @DisplayName("Three questions in a row without an answer: the link is silent")
  void silence() throws Exception {
    Wire wire = new Wire(Wire.settings());
    wire.session().start();
    wire.untilDue();
    wire.untilDue();
    wire.untilDue();
    wire.untilDue();
    LinkException silent = assertThrows(LinkException.class, wire::untilDue);
    assertEquals(FaultCode.LINK_SILENT, silent.code());
  }

  @Test
  @DisplayName("An instrument without an error queue is asked for it once")
  void noErrorQueue() throws Exception {
    Wire wire = new Wire(Wire.settings());
    wire.begin(ME);
    wire.says("*ESR?", "0");
    wire.untilDue(); // no answer to FETCh?
    wire.untilDue(); // nor to SYST:ERR?
    wire.host.takeSent();
    wire.untilDue();
    wire.says("*ESR?", "32");
    wire.says("FETCh?", "1,25.1");
    assertEquals(List.of(1L), numbers(wire));
  }

  @Test
  @DisplayName(
      "The same number again is the same reading; without numbers equal answers are dropped")
  void repeats() throws Exception {
    Wire wire = new Wire(Wire.settings());
    wire.begin(ME);
    wire.says("*ESR?", "0");
    wire.says("FETCh?", "1,25.1");
    wire.round("FETCh?", "1,25.1");
    wire.round("FETCh?", "2,25.1");
    assertEquals(List.of(1L, 2L), numbers(wire));

    Wire plain = new Wire(Wire.settings("fields", "turns-ratio 1"));
    plain.begin(ME);
    plain.says("*ESR?", "0");
    plain.says("FETCh?", "25.1");
    plain.round("FETCh?", "25.1");
    plain.round("FETCh?", "25.2");
    assertEquals(2, plain.host.readings().size());
    assertEquals(1, plain.host.repeats());

    Wire keeping = new Wire(Wire.settings("fields", "turns-ratio 1", "repeats", "keep"));
    keeping.begin(ME);
    keeping.says("*ESR?", "0");
    keeping.says("FETCh?", "25.1");
    keeping.round("FETCh?", "25.1");
    assertEquals(2, keeping.host.readings().size());
  }

  @Test
  @DisplayName("Missed readings are asked for backwards; what is gone is declared, all in order")
  void missed() throws Exception {
    Wire wire = new Wire(Wire.settings("missed", "DATA:STOR? {number}"));
    wire.begin(ME);
    wire.says("*ESR?", "0");
    wire.says("FETCh?", "1,25.1");
    wire.untilDue();
    wire.says("*ESR?", "0");
    wire.says("FETCh?", "6,25.6");
    wire.says("DATA:STOR? 5", "5,25.5");
    wire.says("DATA:STOR? 4", "4,25.4");
    assertEquals(List.of("DATA:STOR? 3\n"), wire.host.takeSent());
    wire.untilDue();
    wire.says("SYST:ERR?", "-222,\"Data out of range\"");
    wire.says("SYST:ERR?", "0,\"No error\"");
    assertEquals(List.of(1L, 4L, 5L, 6L), numbers(wire));
    assertEquals(1, wire.host.gaps().size());
    assertEquals(2, wire.host.gaps().get(0).from().number());
    assertEquals(3, wire.host.gaps().get(0).to());
  }

  @Test
  @DisplayName("Without a question for missed ones they are declared at once")
  void skipped() throws Exception {
    Wire wire = new Wire(Wire.settings());
    wire.begin(ME);
    wire.says("*ESR?", "0");
    wire.says("FETCh?", "5,25.5"); // the first ever: what was before was promised to nobody
    wire.round("FETCh?", "8,25.8");
    assertEquals(List.of(5L, 8L), numbers(wire));
    assertEquals(6, wire.host.gaps().get(0).from().number());
    assertEquals(7, wire.host.gaps().get(0).to());
  }

  @Test
  @DisplayName("A block has a line a reading: as the answer, and for those that were missed")
  void blocks() throws Exception {
    Wire wire = new Wire(Wire.settings("query", "TRACe:BLOCk? READings"));
    wire.begin(ME);
    wire.says("*ESR?", "0");
    wire.says("TRACe:BLOCk? READings", "#2141,25.1\n2,25.2\n");
    wire.round("TRACe:BLOCk? READings", "#2212,25.2\n3,25.3\n5,25.5\n");
    assertEquals(List.of(), wire.faults);
    assertEquals(List.of(1L, 2L, 3L, 5L), numbers(wire));
    assertEquals(1, wire.host.gaps().size());

    Wire other = new Wire(Wire.settings("missed", "TRAC:BLOC? ALL"));
    other.begin(ME);
    other.says("*ESR?", "0");
    other.says("FETCh?", "1,25.1");
    other.untilDue();
    other.says("*ESR?", "0");
    other.says("FETCh?", "5,25.5");
    other.says("TRAC:BLOC? ALL", "#2213,25.3\n4,25.4\n5,25.5\n");
    assertEquals(List.of(1L, 3L, 4L, 5L), numbers(other));
    assertEquals(2, other.host.gaps().get(0).to());
  }

  @Test
  @DisplayName("IEEE 488.2, 11.5.1.1.1: power-on means restarted, and numbers of another epoch")
  void poweredOn() throws Exception {
    Wire wire = new Wire(Wire.settings());
    wire.begin(ME);
    wire.says("*ESR?", "128");
    wire.says("*IDN?", ME);
    wire.says("SYST:ERR?", "0,\"No error\"");
    wire.says("FETCh?", "1,25.1");
    assertEquals(List.of(), wire.host.restarts(), "it was never met before");
    wire.untilDue();
    wire.says("*ESR?", "128");
    wire.says("*IDN?", ME);
    wire.says("SYST:ERR?", "0,\"No error\"");
    wire.says("FETCh?", "1,25.9");
    assertEquals(1, wire.host.restarts().size());
    assertEquals(List.of(1L, 1L), numbers(wire));
    assertEquals(
        List.of("p1", "p2"),
        wire.host.readings().stream().map(r -> r.sequence().orElseThrow().epoch()).toList());
  }

  @Test
  @DisplayName("A number below one before means restarted, whatever the register says")
  void backwards() throws Exception {
    Wire wire = new Wire(Wire.settings());
    wire.begin(ME);
    wire.says("*ESR?", "0");
    wire.says("FETCh?", "9,25.1");
    wire.round("FETCh?", "2,25.2");
    assertEquals(1, wire.host.restarts().size());
    assertEquals("p2", wire.host.readings().get(1).sequence().orElseThrow().epoch());
    assertEquals(1, wire.host.gaps().get(0).to(), "reading 1 of the new life was missed");
  }

  @Test
  @DisplayName("A late answer is not taken for the next one")
  void late() throws Exception {
    Wire wire = new Wire(Wire.settings());
    wire.begin(ME);
    wire.says("*ESR?", "0");
    wire.host.takeSent();
    wire.untilDue();
    wire.says("SYST:ERR?", "1,25.1");
    assertEquals(FaultCode.FRAME_SYNTAX, wire.faults.get(0).code());
    wire.arrive("0,\"No error\"\n");
    assertEquals(FaultCode.OUT_OF_ORDER, wire.faults.get(1).code());
    wire.round("FETCh?", "1,25.1");
    assertEquals(List.of(1L), numbers(wire));
  }
}
