package org.tallywire.meter62056;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.time.Duration;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Instrument;
import org.tallywire.api.LinkException;
import org.tallywire.api.Value;

/** Readouts in virtual time, the meter's side by hand. */
class MeterSessionTest {

  private static final String DATA =
      Line.message("0.0.0(12345678)\r\n1.8.0(000581.161*kWh)\r\n32.7.0(0230.0*V)\r\n");

  @Test
  @DisplayName("Mode C: agreed after the reaction time, speed changed once that has gone out")
  void modeC() throws Exception {
    Line line = new Line(Line.settings("address", "12345678"));
    assertEquals(List.of("/?12345678!\r\n"), line.host.takeSent());
    line.arrive("/XYZ5METER-1\r\n");
    assertEquals(Duration.ofMillis(200), line.untilDue());
    assertEquals(List.of("\u0006050\r\n"), line.host.takeSent());
    assertEquals(300, line.host.baud());
    assertEquals(Duration.ofMillis(200), line.untilDue(), "six characters of ten bits at 300 baud");
    assertEquals(9_600, line.host.baud());
    line.arrive(DATA);
    assertEquals(List.of(), line.faults);
    assertEquals(
        List.of(new Instrument("XYZ", "METER-1", "12345678", "")), line.host.instruments());
    assertEquals(List.of("active-energy-import 581.161 kW.h", "voltage-l1 230.0 V"), values(line));
    line.untilDue();
    assertEquals(300, line.host.baud());
    assertEquals(List.of("/?12345678!\r\n"), line.host.takeSent());
    assertEquals(Duration.ofSeconds(60).toNanos(), line.time.nanos());
  }

  private static List<String> values(Line line) {
    return line.host.readings().get(0).values().stream()
        .map(
            v ->
                v instanceof Value.Measured m ? m.quantity() + " " + m.text() + " " + m.unit() : "")
        .toList();
  }

  @Test
  @DisplayName("Mode A: the data message follows by itself; mode B: at the speed of the letter")
  void modesAandB() throws Exception {
    Line line = new Line(Line.settings());
    line.arrive("/XYZ METER-1\r\n" + DATA);
    assertEquals(1, line.host.readings().size());
    assertEquals(300, line.host.baud());
    Line b = new Line(Line.settings());
    b.arrive("/XYZDMETER-1\r\n");
    assertEquals(4_800, b.host.baud());
    b.arrive(DATA);
    assertEquals(1, b.host.readings().size());
  }

  @Test
  @DisplayName(
      "Without a change of speed it is agreed to stay; echoes of an optical head are passed over")
  void oneSpeedAndEchoes() throws Exception {
    Line line = new Line(Line.settings("change-speed", "no"));
    line.arrive("/?!\r\n/XYz5METER-1\r\n");
    assertEquals(Duration.ofMillis(20), line.untilDue());
    assertTrue(line.host.takeSent().contains("\u0006000\r\n"));
    line.arrive("\u0006000\r\n");
    line.untilDue();
    assertEquals(300, line.host.baud());
    line.arrive(DATA);
    assertEquals(List.of(), line.faults);
    assertEquals(1, line.host.readings().size());
  }

  @Test
  @DisplayName(
      "A wrong check character: NAK after the reaction time, three times, then a new sign-on")
  void repeats() throws Exception {
    Line line = new Line(Line.settings());
    line.arrive("/XYZ5METER-1\r\n");
    line.untilDue();
    line.untilDue();
    line.host.takeSent();
    String damaged = DATA.replace("581", "481");
    for (int i = 0; i < 3; i++) {
      line.arrive(damaged);
      assertEquals(Duration.ofMillis(200), line.untilDue());
      assertEquals(List.of("\u0015"), line.host.takeSent());
    }
    line.arrive(damaged);
    line.untilDue();
    assertEquals(List.of("/?!\r\n"), line.host.takeSent());
    assertEquals(300, line.host.baud());
    assertEquals(4, line.faults.size());
    assertEquals(FaultCode.FRAME_CHECK, line.faults.get(0).code());
    assertEquals(List.of(), line.host.readings());
    line.arrive("/XYZ5METER-1\r\n");
    line.untilDue();
    line.untilDue();
    line.arrive(DATA);
    assertEquals(1, line.host.readings().size());
  }

  @Test
  @DisplayName("Three sign-ons without an identification: the link is silent")
  void silence() throws Exception {
    Line line = new Line(Line.settings());
    for (int i = 0; i < 4; i++) {
      line.untilDue();
    }
    LinkException silent = assertThrows(LinkException.class, line::untilDue);
    assertEquals(FaultCode.LINK_SILENT, silent.code());
    assertTrue(silent.getMessage().contains("300 baud"), silent.getMessage());
  }

  @Test
  @DisplayName("Registers of interest, by name: quantity, unit, label")
  void chosen() throws Exception {
    Line line =
        new Line(
            Line.settings(
                "registers", "0.0.0 label meter, 32.7.0, 1-0:1.8.0 supply-energy, 77.7 odd Hz"));
    line.arrive(
        "/XYZ METER\r\n"
            + Line.message("0.0.0(5)\r\n1-0:1.8.0(1.50*kWh)32.7.0(ERROR*V)\r\n77.7(49.9)\r\n"));
    assertEquals(List.of(), line.faults);
    assertEquals(Map.of("meter", "5"), line.host.readings().get(0).labels());
    assertEquals(List.of("", "supply-energy 1.50 kW.h", "odd 49.9 Hz"), values(line));
    assertEquals(
        Value.Reason.INVALID,
        ((Value.Missing) line.host.readings().get(0).values().get(0)).reason());
  }

  @ParameterizedTest
  @DisplayName("An undamaged readout that cannot be used is a fault that says why")
  @CsvSource(
      delimiter = '|',
      value = {
        "all|C.1.0(5)|none of its registers is known",
        "1.8.0|2.8.0(5*kWh)|no register 1.8.0",
        "1.8.0 energy W.h|1.8.0(5*kWh)|in kWh by the meter and in W.h",
        "all|1.8.0(5*furlong)|not known here",
        "all|1.8.0(123456789012345678901234567890.123*kWh)|more than 32"
      })
  void unusable(String registers, String data, String words) throws Exception {
    Line line = new Line(Line.settings("registers", registers));
    line.arrive("/XYZ METER\r\n" + Line.message(data + "\r\n"));
    assertEquals(FaultCode.FRAME_SYNTAX, line.faults.get(0).code());
    assertTrue(line.faults.get(0).getMessage().contains(words), line.faults.get(0).getMessage());
    assertEquals(List.of(), line.host.readings());
  }

  @Test
  @DisplayName("Without a unit anywhere a value is left out, and that is told")
  void withoutUnit() throws Exception {
    Line line = new Line(Line.settings());
    line.arrive("/XYZ METER\r\n" + Line.message("1.8.0(5)13.7.0(0.98)\r\n"));
    assertEquals(List.of("power-factor 0.98 1"), values(line));
    assertTrue(line.host.statuses().get(0).contains("[1.8.0]"), line.host.statuses().get(0));
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = '|',
      value = {
        "every|1|2 to 86400",
        "address|1/2|letters",
        "change-speed|maybe|yes or no",
        "registers|1.8.0 Energy|is not CODE",
        "registers|77.7|what 77.7 tells",
        "registers|0.0.0 label a|labels alone",
        "letter-a|1200|600 or 300"
      })
  void settings(String name, String value, String words) {
    String sentence =
        String.valueOf(
            assertThrows(
                    IllegalArgumentException.class,
                    () -> MeterSettings.of(Line.settings(name, value)))
                .getMessage());
    assertTrue(sentence.contains('"' + name + '"') && sentence.contains(words), sentence);
  }
}
