package org.tallywire.simulator.face;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.util.List;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.tallywire.simulator.tester.Measurement.Channel;
import org.tallywire.simulator.tester.Measurement.Status;

/** Whole talks with the SCPI meter: one that is written down, and many of garbage. */
class ScpiSessionTest {

  /** Pieces of the language; an underscore stands for a blank. */
  private static final List<String> PIECES =
      List.of(
          ("SYST:ERR? VERS? *IDN? *ESE_3 *OPC *WAI INIT READ? FETC MEAS: FRES? DATA:LAB? TRAC BLOC"
                  + " FORM ASC READ : ; ; ; ; ? _ , \n \" ' # #15 (@1) -1 1E400 9 . + [ HELP:HEAD"
                  + " \r *")
              .split(" ", -1));

  /** {@code >} the controller, {@code <} the meter, {@code *} it measures. */
  private static final String TALK =
      """
      > *IDN?
      < Tallywire,pretend meter,SIM-0007,0.1
      > *RST;*CLS
      > SYST:VERS?;ERR?
      < 1999.0;0,"No error"
      > *ESE?;*ESR?;*STB?
      < 0;0;16
      > FETC?
      > SYST:ERR?
      < -230,"Data corrupt or stale"
      > READ?;:DATA:LAB?
      *
      < 1,+4.62039E+01,+4.31E-03,-2.0E-02,+4.002E+01,+9.91E+37,+9.91E+37,+9.91E+37;1,"turns-ratio","HV-LV","A",3,"ok"
      > MEAS:TRAT?
      *
      < +4.62039E+01
      > INIT;*OPC?
      *
      < 1
      > FETC?;:CONF:ALL;FRES
      < +4.62039E+01
      > FETC:ALL?
      < 3,+4.62039E+01,+4.31E-03,-2.0E-02,+4.002E+01,+9.91E+37,+9.91E+37,+9.91E+37
      > TURN:RAT?
      > CONF?;:SYST:ERR?;:TRAC:POIN? READ
      < "FRES";-113,"Undefined header";3
      """;

  @Test
  void theTalk() {
    ScpiUnderTest meter = new ScpiUnderTest();
    StringBuilder heard = new StringBuilder();
    TALK.lines()
        .filter(line -> !line.startsWith("<"))
        .forEach(
            line -> {
              heard.append(line).append('\n');
              if (line.startsWith(">")) {
                meter.say(line.substring(2));
              } else {
                meter.measure(ScpiUnderTest.ratio("46.2039", "4.31"));
              }
              meter.heard().forEach(answer -> heard.append("< ").append(answer).append('\n'));
            });
    assertEquals(TALK, heard.toString());
  }

  @Test
  void garbageNeverEndsTheMeter() {
    long seed = System.nanoTime();
    Random random = new Random(seed);
    ScpiUnderTest meter = new ScpiUnderTest();
    for (int round = 0; round < 3000; round++) {
      String where = "seed " + seed + " round " + round;
      byte[] garbage = new byte[random.nextInt(1500)];
      random.nextBytes(garbage);
      meter.sayBytes(new String(garbage, StandardCharsets.ISO_8859_1));
      meter.measure(ScpiUnderTest.ratio("46.2039", "4.31"));
      meter.say("");
      meter.heard();
      assertEquals("1999.0", meter.ask("*CLS;:SYST:VERS?"), where);
    }
  }

  /** Nearer to the language: pieces of it in any order. */
  @Test
  void piecesInAnyOrderNeverEndTheMeter() {
    long seed = System.nanoTime();
    Random random = new Random(seed);
    ScpiUnderTest meter = new ScpiUnderTest();
    int answers = 0;
    for (int round = 0; round < 20_000; round++) {
      String where = "seed " + seed + " round " + round;
      StringBuilder text = new StringBuilder();
      for (int i = random.nextInt(12); i >= 0; i--) {
        text.append(PIECES.get(random.nextInt(PIECES.size())));
      }
      meter.say(text.toString().replace('_', ' '));
      meter.measure(ScpiUnderTest.ratio("46.2039", "4.31"));
      meter.measure(ScpiUnderTest.resistance(Channel.OHMS, "1.2345", Status.OK));
      answers += meter.heard().size();
      assertEquals("1999.0", meter.ask("*CLS;:SYST:VERS?"), where);
    }
    assertTrue(answers > 200, answers + " answers, seed " + seed);
  }
}
