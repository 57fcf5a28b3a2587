package org.tallywire.simulator.face;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.tallywire.simulator.tester.Measurement.Channel;
import org.tallywire.simulator.tester.Measurement.Status;

/** Common commands, status and errors: IEEE 488.2 chapters 10 and 11, SCPI-1999 (from memory). */
class ScpiStatusTest {

  private final ScpiUnderTest meter = new ScpiUnderTest();

  @Test
  @DisplayName("IEEE 488.2 10.14: *IDN? has four fields")
  void identity() {
    assertEquals("Tallywire,pretend meter,SIM-0007,0.1", meter.ask("*IDN?"));
    assertThrows(IllegalArgumentException.class, () -> new ScpiFace("a,b", "0.1", text -> {}));
    assertThrows(IllegalArgumentException.class, () -> new ScpiFace("a", "1;2", text -> {}));
  }

  @Test
  @DisplayName("IEEE 488.2 10.38, 10.19, 10.39: *TST? 0, *OPC? 1, *WAI nothing")
  void nothingIsUnderWay() {
    assertEquals("0;1;1", meter.ask("*TST?;*OPC?;*WAI;*OPC?"));
  }

  @Test
  @DisplayName("IEEE 488.2 11.5.1: PON at power-up; reading the register clears it")
  void powerOn() {
    assertEquals("128;0", meter.ask("*ESR?;*ESR?"));
  }

  @Test
  @DisplayName("SCPI-1999 21.8: each class of errors has its event bit")
  void everyClassHasItsBit() {
    meter.ask("*ESR?");
    meter.say("NOPE");
    assertEquals("32", meter.ask("*ESR?"), "-113: CME");
    meter.say("*ESE 256");
    assertEquals("16", meter.ask("*ESR?"), "-222: EXE");
    meter.say("x".repeat(2000));
    assertEquals("8", meter.ask("*ESR?"), "-363: DDE");
    meter.say("READ?");
    assertEquals("4", meter.ask("*ESR?"), "-410: QYE");
    meter.say("*OPC;*ABC");
    meter.say("ABOR");
    assertEquals("33", meter.ask("*ESR?"), "OPC and CME");
  }

  @Test
  @DisplayName("IEEE 488.2 11.2: EAV 4, MAV 16, ESB 32, MSS 64")
  void theStatusByte() {
    meter.ask("*ESR?");
    assertEquals("0", meter.ask("*STB?"));
    assertEquals("1999.0;16", meter.ask("SYST:VERS?;*STB?"), "MAV");
    meter.say("*ESE 32;*SRE 32;NOPE");
    assertEquals("100", meter.ask("*STB?"), "EAV, ESB, MSS");
    meter.say("*SRE 0");
    assertEquals("36", meter.ask("*STB?"));
    meter.ask("*ESR?");
    assertEquals("4", meter.ask("*STB?"), "ESB goes with its event");
    meter.ask("SYST:ERR?");
    assertEquals("0", meter.ask("*STB?"), "EAV goes with the last error");
  }

  @Test
  @DisplayName("IEEE 488.2 10.34: bit 6 of *SRE is always 0")
  void masterSummaryCannotBeEnabled() {
    assertEquals("191", meter.ask("*SRE 255;*SRE?"));
  }

  @Test
  @DisplayName("SCPI-1999 9: OPERation bit 4 while measuring, QUEStionable bit 9 if not ok")
  void theScpiRegisters() {
    meter.say("STAT:OPER:ENAB 16;:STAT:QUES:ENAB 512;:INIT");
    assertEquals("16;144", meter.ask("STAT:OPER:COND?;*STB?"), "OPER summary and MAV");
    assertEquals("16", meter.ask("STAT:OPER?"), "reading an event clears it");
    assertEquals("0;16", meter.ask("STAT:OPER:EVEN?;*STB?"));
    meter.measure(ScpiUnderTest.resistance(Channel.OHMS, "1.2345", Status.NOT_SETTLED));
    assertEquals("8", meter.ask("*STB?"), "QUES summary");
    assertEquals("0;512", meter.ask("STAT:OPER:COND?;:STAT:QUES:COND?"));
    meter.measure(ScpiUnderTest.ratio("46.2039", "4.31"));
    assertEquals("0;512;0", meter.ask("STAT:QUES:COND?;EVEN?;EVEN?"));
    assertEquals("0;0", meter.ask("STAT:PRES;:STAT:OPER:ENAB?;:STAT:QUES:ENAB?"));
    assertEquals("32767", meter.ask("STAT:OPER:ENAB 65535;ENAB?"), "bit 15 is always 0");
  }

  @Test
  @DisplayName("IEEE 488.2 10.3: *CLS clears events and errors, not what enables")
  void clear() {
    meter.say("*ESE 60;*SRE 4;STAT:OPER:ENAB 16;:NOPE");
    assertEquals("60;4;16", meter.ask("*CLS;*ESE?;*SRE?;:STAT:OPER:ENAB?"));
    assertEquals("0", meter.ask("*STB?"));
    assertEquals("0;0", meter.ask("*ESR?;:SYST:ERR:COUN?"));
  }

  @Test
  @DisplayName("IEEE 488.2 10.32: *RST resets the function, not status and errors")
  void reset() {
    meter.say("CONF:FRES;*ESE 60;NOPE");
    assertEquals("\"FRES\";60", meter.ask("CONF?;*ESE?"));
    assertEquals("\"ALL\";60;1", meter.ask("*RST;CONF?;*ESE?;:SYST:ERR:COUN?"));
  }

  @Test
  @DisplayName("SCPI-1999 21.8.1: errors come oldest first, the last place holds -350")
  void theErrorQueue() {
    meter.say("*ESE 256");
    meter.say("*ESE");
    for (int i = 0; i < ScpiStatus.MOST_ERRORS + 5; i++) {
      meter.say("NOPE");
    }
    assertEquals("" + ScpiStatus.MOST_ERRORS, meter.ask("SYST:ERR:COUN?"));
    List<Integer> numbers = new ArrayList<>();
    for (int number = meter.nextError(); number != 0; number = meter.nextError()) {
      numbers.add(number);
    }
    assertEquals(ScpiStatus.MOST_ERRORS, numbers.size());
    assertEquals(List.of(-222, -109, -113), numbers.subList(0, 3));
    assertEquals(List.of(-113, -350), numbers.subList(numbers.size() - 2, numbers.size()));
    meter.say("NOPE");
    assertEquals(-113, meter.nextError(), "the queue works afterwards");
  }

  @Test
  @DisplayName("SCPI-1999 21.8: the texts; :ALL? takes all")
  void theTextsOfErrors() {
    meter.say("*ESE 256");
    meter.say("NOPE");
    assertEquals(
        "-222,\"Data out of range\",-113,\"Undefined header\"", meter.ask("SYST:ERR:ALL?"));
    assertEquals(ScpiUnderTest.NO_ERROR, meter.ask("SYST:ERR:ALL?"));
    assertEquals("error -222,\"Data out of range\"", meter.remarks.get(0));
  }

  @Test
  @DisplayName("SCPI-1999 4.2.1: the required commands, in the meter's own list of headers")
  void theRequiredCommandsAreListed() {
    String block = meter.ask("SYST:HELP:HEAD?");
    int digits = block.charAt(1) - '0';
    String list = block.substring(2 + digits);
    assertEquals(Integer.parseInt(block.substring(2, 2 + digits)), list.length());
    List<String> headers = List.of(list.split("\n", -1));
    for (String required :
        List.of(
            "*CLS/nquery/",
            "*ESE",
            "*ESR?/qonly/",
            "*IDN?/qonly/",
            "*OPC",
            "*RST/nquery/",
            "*SRE",
            "*STB?/qonly/",
            "*TST?/qonly/",
            "*WAI/nquery/",
            ":SYSTem:ERRor[:NEXT]?/qonly/",
            ":SYSTem:VERSion?/qonly/",
            ":STATus:OPERation[:EVENt]?/qonly/",
            ":STATus:OPERation:CONDition?/qonly/",
            ":STATus:OPERation:ENABle",
            ":STATus:QUEStionable[:EVENt]?/qonly/",
            ":STATus:QUEStionable:CONDition?/qonly/",
            ":STATus:QUEStionable:ENABle",
            ":STATus:PRESet/nquery/")) {
      assertTrue(headers.contains(required), required + " in " + headers);
    }
  }

  @Test
  @DisplayName("-430: answers that nobody takes are dropped, not kept for ever")
  void answersThatNobodyTakes() {
    for (int i = 0; i < 65; i++) {
      meter.say("*ESE?");
    }
    assertTrue(meter.heard().isEmpty());
    assertEquals(-430, meter.nextError());
  }
}
