package org.tallywire.declared;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.time.Duration;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.tallywire.api.FaultCode;
import org.tallywire.api.LinkException;
import org.tallywire.kit.ManualTime;
import org.tallywire.kit.RecordingHost;

/** Meters that are asked: order, time-outs, addresses, echoes. */
final class AskingTest {

  private static final String WHO = "Invented Bench Works;QR-2;004711;2.05\r\n";
  private static final String LAST = "%d,HV-LV,A,03,25.0412,0.8,OK\r\n";

  private static Played ratiometer() throws Exception {
    return new Played(ShippedFilesTest.driver("query-ratiometer"));
  }

  private static Played ready() throws Exception {
    Played played = ratiometer();
    played.arrives("OK\r\n");
    played.arrives(WHO);
    played.sent();
    return played;
  }

  @Test
  @DisplayName("what is at the start is sent in order, each after the answer to the one before")
  void start() throws Exception {
    Played played = ratiometer();
    assertEquals("REM\r", played.sent());
    played.pass(Duration.ofMillis(100));
    assertEquals("", played.sent());
    played.arrives("OK\r\n");
    assertEquals("WHO\r", played.sent());
    played.arrives(WHO);
    assertEquals("LAST\r", played.sent());
    assertEquals("004711", played.host.instruments().get(0).serial());
    assertEquals(List.of("starting the conversation", "ready"), played.host.statuses());
  }

  @Test
  @DisplayName("it is asked again after its interval, and the same answer is a repeat")
  void interval() throws Exception {
    Played played = ready();
    played.arrives(LAST.formatted(1));
    assertEquals("", played.sent());
    played.pass(Duration.ofMillis(999));
    assertEquals("", played.sent());
    played.pass(Duration.ofMillis(1));
    assertEquals("LAST\r", played.sent());
    played.arrives(LAST.formatted(1));
    played.pass(Duration.ofSeconds(1));
    played.arrives(LAST.formatted(2));
    assertEquals(2, played.host.readings().size());
    assertEquals(1, played.host.repeats());
    assertEquals(List.of(), played.faults);
  }

  @Test
  @DisplayName("DRV-10: no answer: asked again, three times in all, then the instrument is silent")
  void silent() throws Exception {
    Played played = ready();
    played.pass(Duration.ofMillis(1700));
    assertEquals("LAST\rLAST\r", played.sent());
    LinkException told =
        assertThrows(LinkException.class, () -> played.pass(Duration.ofSeconds(2)));
    assertEquals(FaultCode.LINK_SILENT, told.code());
    assertEquals("no whole answer to \"LAST\\r\" within 800 ms, sent 3 times", told.getMessage());
  }

  @Test
  @DisplayName("DRV-10: a refused or damaged answer is asked for again and then counts")
  void refused() throws Exception {
    Played played = ready();
    played.arrives("ERR 3\r\n");
    played.pass(Duration.ofSeconds(1));
    assertEquals("LAST\r", played.sent());
    played.arrives("7,HV-LV,A,03,25.\u00FF412,0.8,OK\r\n");
    played.pass(Duration.ofSeconds(1));
    played.arrives(LAST.formatted(7));
    assertEquals(List.of(FaultCode.INSTRUMENT_ERROR, FaultCode.FRAME_NOISE), played.faultCodes());
    assertEquals(1, played.host.readings().size());
  }

  private static final String ASKED =
      """
      driver: m
      version: 1
      about: a meter
      ask: [{send: "V?\\r", effect: query, every: 1 s, within: 1 s, tries: 2}]
      rules:
        - {match: "(?<n>[0-9]+) (?<v>[0-9.]+)", count: {from: n},
           reading: {values: [{quantity: test-voltage, from: v, unit: V}]}}
        - {match: NO DATA, ignore: true}
      """;

  @Test
  @DisplayName("DRV-10: an answer that is not understood is a fault, and not silence too")
  void notUnderstood() throws Exception {
    Played played = Played.of(ASKED);
    assertEquals("V?\r", played.sent());
    played.arrives("1 2.5 VOLTS\r\n");
    played.pass(Duration.ofMillis(1001));
    assertEquals("V?\r", played.sent());
    played.pass(Duration.ofMillis(4998));
    assertEquals("", played.sent(), "a rest of 5 s");
    assertEquals(
        "\"V?\\r\" is answered, and not by a reading",
        played.host.statuses().get(played.host.statuses().size() - 1));
    played.pass(Duration.ofMillis(1100));
    assertEquals("V?\r", played.sent());
    played.arrives("1 2.5\r\n");
    assertEquals(List.of(FaultCode.FRAME_SYNTAX), played.faultCodes());
    assertEquals(1, played.host.readings().size());
    assertEquals("ready", played.host.statuses().get(played.host.statuses().size() - 1));
    played.pass(Duration.ofMillis(1500));
    assertThrows(LinkException.class, () -> played.pass(Duration.ofSeconds(2)), "now it is silent");
  }

  @Test
  @DisplayName("DRV-10: a repeat answers; a line that is ignored answers where lines are counted")
  void ignoredAndRepeat() throws Exception {
    Played played = Played.of(ASKED);
    played.arrives("1 2.5\r\n");
    played.pass(Duration.ofSeconds(1));
    played.arrives("1 2.5\r\n");
    played.sent();
    played.pass(Duration.ofSeconds(1));
    assertEquals("V?\r", played.sent(), "the repeat was an answer");
    played.arrives("NO DATA\r\n");
    played.pass(Duration.ofMillis(1001));
    assertEquals("V?\r", played.sent(), "an ignored line is no reading: asked again");
    Played lines = Played.of(ASKED.replace("tries: 2", "answer: 1"));
    for (int i = 0; i < 20; i++) {
      assertEquals("V?\r", lines.sent());
      lines.arrives("NO DATA\r\n");
      lines.pass(Duration.ofSeconds(1));
    }
    assertEquals(List.of(), lines.faults);
    assertFalse(lines.host.statuses().stream().anyMatch(s -> s.contains("answered")));
  }

  @Test
  @DisplayName("DRV-10: what only chatters does not keep a question open for ever")
  void chatter() throws Exception {
    Played played = Played.of(ASKED);
    for (int i = 0; i < 203; i++) {
      played.arrives("NO DATA\r\n");
      played.pass(Duration.ofMillis(500));
    }
    assertEquals("V?\rV?\r", played.sent());
  }

  @Test
  @DisplayName("DRV-11: a line that nobody asked for is a fault")
  void unasked() throws Exception {
    Played played = ready();
    played.arrives(LAST.formatted(1) + LAST.formatted(2));
    assertEquals(List.of(FaultCode.OUT_OF_ORDER), played.faultCodes());
    assertEquals(1, played.host.readings().size());
  }

  @Test
  @DisplayName("a measure is handed to the host and not waited for; what comes of it counts")
  void measure() throws Exception {
    Played played =
        Played.of(
            WrongFilesTest.RIGHT + "ask: [{send: \"TEST\\r\", effect: measure, every: 10 s}]\n");
    played.pass(Duration.ofSeconds(5));
    played.arrives("1.5\r\n");
    played.pass(Duration.ofSeconds(6));
    assertEquals("TEST\rTEST\r", played.sent());
    assertEquals(1, played.host.readings().size());
    assertEquals(List.of(), played.faults);
  }

  private static final String ONE_Q = "\u000201T?\u000369";
  private static final String TWO_Q = "\u000202T?\u00036A";
  private static final String ONE = "\u000201T+0021.5\u000365";
  private static final String TWO = "\u000202T+0019.0\u000368";

  private static Played bus() throws Exception {
    DeclaredDriver driver =
        ShippedFilesTest.driver("bus-thermometer").configured(Map.of("addresses", "01=4711, 02"));
    return new Played(driver);
  }

  @Test
  @DisplayName("DRV-16: each address in its turn, each an instrument of its own, echoes dropped")
  void addresses() throws Exception {
    Played played = bus();
    assertEquals(ONE_Q, played.sent());
    played.arrives(ONE_Q + ONE);
    assertEquals("", played.sent(), "the line needs its rest");
    played.pass(Duration.ofMillis(20));
    assertEquals(TWO_Q, played.sent());
    played.arrives(TWO_Q + TWO);
    assertEquals(List.of(), played.faults);
    assertEquals(
        List.of("4711", "address 02"),
        played.host.readings().stream().map(r -> r.instrument().serial()).toList());
  }

  @Test
  @DisplayName("DRV-10: a silent address is left out for a while; when all are silent the link is")
  void oneSilent() throws Exception {
    Played played = bus();
    for (int i = 0; i < 60; i++) {
      String sent = played.sent();
      if (sent.equals(TWO_Q)) {
        played.arrives(sent + TWO);
      } else if (sent.equals(ONE_Q)) {
        played.arrives(sent);
      }
      played.pass(Duration.ofMillis(310));
    }
    assertTrue(played.host.statuses().contains("no answer from address 01"));
    assertTrue(played.host.readings().size() >= 2);
    LinkException told =
        assertThrows(LinkException.class, () -> played.pass(Duration.ofMinutes(1)));
    assertEquals(FaultCode.LINK_SILENT, told.code());
  }

  @Test
  @DisplayName("DRV-6: an echo in front of its answer is cut off where lines end with CR or LF")
  void echoOfALine() throws Exception {
    Played played =
        Played.of(
            WrongFilesTest.RIGHT
                + "lines: {end: CR LF, echo: true}\nask: [{send: \"V?\\r\", effect: query}]\n");
    played.arrives("V?\r1.5\r\n");
    played.pass(Duration.ofSeconds(1));
    played.arrives("V?\r\n");
    played.arrives("1.6\r\n");
    assertEquals(2, played.host.readings().size());
    assertEquals(List.of(), played.faults);
  }

  @Test
  @DisplayName("settings that cannot be are told with what to write")
  void settings() throws Exception {
    DeclaredDriver bus = ShippedFilesTest.driver("bus-thermometer");
    for (String wrong : List.of("", "01,,02", "01, 01", "01=" + "x".repeat(65), "a b")) {
      IllegalArgumentException told =
          assertThrows(
              IllegalArgumentException.class, () -> bus.configured(Map.of("addresses", wrong)));
      assertFalse(told.getMessage().isEmpty());
    }
    assertThrows(IllegalArgumentException.class, () -> bus.configured(Map.of("adress", "01")));
    DeclaredDriver meter = ShippedFilesTest.driver("bench-ohmmeter");
    Played played = new Played(meter.configured(Map.of("serial", "0815")));
    played.arrives("\r\n1.0 OHM\r\n");
    assertEquals("0815", played.host.readings().get(0).instrument().serial());
  }

  @Test
  @DisplayName("nothing is sent before the start")
  void nothingBeforeStart() throws Exception {
    RecordingHost host = new RecordingHost(new ManualTime());
    ShippedFilesTest.driver("query-ratiometer").open(host);
    assertEquals(List.of(), host.takeSent());
  }
}
