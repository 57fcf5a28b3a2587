package org.tallywire.declared;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Optional;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Gap;
import org.tallywire.api.LinkException;
import org.tallywire.api.Reading;

/** Meters that only talk: half lines, numbers, repeats, blocks, silence. */
final class ListeningTest {

  private static final String COUNTED =
      """
      driver: counted
      version: 1
      about: a meter that numbers its readings
      rules:
        - match: "SERIAL (?<serial>.*)"
          identify: true
        - match: "POWER ON"
          started: true
        - separated: {by: ";", fields: [n, v]}
          count: {from: n, first: 1, last: 99, then: 0}
          reading: {values: [{quantity: test-voltage, from: v, unit: V}]}
      """;

  private static Played counted(String... lines) throws Exception {
    Played played = Played.of(COUNTED);
    played.arrives("\r\n");
    for (String line : lines) {
      played.arrives(line + "\r\n");
    }
    return played;
  }

  private static List<Long> numbers(Played played) {
    return played.host.readings().stream().map(r -> r.sequence().orElseThrow().number()).toList();
  }

  private static long epochs(Played played) {
    return played.host.readings().stream()
        .map(r -> r.sequence().orElseThrow().epoch())
        .distinct()
        .count();
  }

  @Test
  @DisplayName("DRV-7: right behind the opening a line may be half of one, and is a fault")
  void halfALine() throws Exception {
    Played played = Played.of(COUNTED);
    played.arrives("2;3.45\r\n3;3.46\r\n");
    assertEquals(List.of(FaultCode.FRAME_NOISE), played.faultCodes());
    assertEquals(List.of(3L), numbers(played));
  }

  @Test
  @DisplayName("DRV-7: a line after 100 ms of quiet is a whole one")
  void quietBefore() throws Exception {
    Played played = Played.of(COUNTED);
    played.pass(Duration.ofMillis(150));
    played.arrives("2;3.45\r\n");
    assertEquals(List.of(2L), numbers(played));
    assertEquals(List.of(), played.faultCodes());
  }

  @Test
  @DisplayName("DRV-5: a line that stops for longer than its pause is given up, not glued together")
  void stoppedLine() throws Exception {
    Played played = counted("1;1.0");
    played.arrives("2;1");
    played.pass(Duration.ofMillis(2001));
    played.arrives("3;2.0\r\n");
    assertEquals(List.of(1L, 3L), numbers(played));
    assertEquals(List.of(FaultCode.FRAME_NOISE), played.faultCodes());
    assertEquals("2;1", Bytes.written(played.faults.get(0).bytes()));
  }

  @Test
  @DisplayName("DRV-12: a skipped number is a gap; a round that runs over goes on")
  void gapAndRound() throws Exception {
    Played played = counted("97;1.0", "98;1.0", "0;1.0", "2;1.0");
    assertEquals(List.of(97L, 98L, 100L, 102L), numbers(played));
    assertEquals(1, epochs(played));
    assertEquals(
        List.of("99-99 SKIPPED", "101-101 SKIPPED"),
        played.host.gaps().stream()
            .map(g -> g.from().number() + "-" + g.to() + " " + g.reason())
            .toList());
    assertEquals(List.of(), played.host.restarts());
  }

  @Test
  @DisplayName("DRV-12: a count that runs backwards is a new epoch, and told")
  void backwards() throws Exception {
    Played played = counted("41;1.0", "1;1.1", "2;1.2");
    assertEquals(List.of(41L, 1L, 2L), numbers(played));
    assertEquals(2, epochs(played));
    assertEquals(List.<Gap>of(), played.host.gaps());
    assertEquals(
        List.of("the instrument counts from 1 again after 41: it has started again"),
        played.host.restarts());
  }

  @Test
  @DisplayName("DRV-12: number 1 again with other content is a restart; another one a conflict")
  void sameNumberOtherContent() throws Exception {
    Played played = counted("1;1.0", "1;1.1", "2;5.0", "2;5.1");
    assertEquals(List.of(1L, 1L, 2L, 2L), numbers(played));
    assertEquals(2, epochs(played));
    assertEquals(1, played.host.restarts().size());
    List<Reading> last = played.host.readings().subList(2, 4);
    assertEquals(last.get(0).sequence(), last.get(1).sequence());
  }

  @Test
  @DisplayName("DRV-12, DRV-14: a lost link loses neither epoch nor the last line")
  void overALostLink() throws Exception {
    Played played = counted("5;1.0");
    played.open();
    played.arrives("\r\n5;1.0\r\n6;1.1\r\n");
    assertEquals(List.of(5L, 6L), numbers(played));
    assertEquals(1, epochs(played));
    assertEquals(1, played.host.repeats());
  }

  @Test
  @DisplayName("another instrument, or a word that it was switched on, begins a new epoch")
  void otherInstrument() throws Exception {
    Played played = counted("SERIAL A", "5;1.0", "SERIAL B", "6;1.0", "POWER ON", "7;1.0");
    assertEquals(
        List.of("A n1", "B n1", "B n2"),
        played.host.readings().stream()
            .map(r -> r.instrument().serial() + " " + r.sequence().orElseThrow().epoch())
            .toList());
    assertEquals(List.of("the instrument says that it was switched on"), played.host.restarts());
  }

  @Test
  @DisplayName("a count out of its range, or none, is a fault")
  void wrongCounts() throws Exception {
    Played played = counted("100;1.0", "x;1.0", "-1;1.0", "1;1.0;");
    assertEquals(List.of(), played.host.readings());
    assertEquals(4, played.faults.size());
    assertTrue(
        played
            .faults
            .get(0)
            .getMessage()
            .contains("has in n \"100\", which is no count from 0 to 99"),
        played.faults.get(0).getMessage());
  }

  private static final String PLAIN =
      """
      driver: plain
      version: 1
      about: a meter that numbers nothing
      %s
      rules:
        - match: "(?<v>[0-9.]+) V"
          reading: {values: [{quantity: test-voltage, from: v, unit: mV, factor: 1000}]}
        - match: "(?<t>..:..:..) (?<v>[0-9.]+) V"
          time: {from: t, pattern: "HH:mm:ss", zone: "+01:00"}
          reading: {values: [{quantity: test-voltage, from: v, unit: V}]}
      """;

  @Test
  @DisplayName("DRV-14: the same figures twice are two readings; with a time of their own one")
  void repeats() throws Exception {
    Played played = Played.of(PLAIN.formatted(""));
    played.arrives("\r\n1.5 V\r\n1.5 V\r\n09:00:01 1.5 V\r\n09:00:01 1.5 V\r\n09:00:02 1.5 V\r\n");
    assertEquals(4, played.host.readings().size());
    assertEquals(1, played.host.repeats());
    assertEquals(Optional.empty(), played.host.readings().get(0).sequence());
  }

  @Test
  @DisplayName("DRV-14: a store that is printed again gives its new results alone, and no restart")
  void printedAgain() throws Exception {
    Played played = new Played(ShippedFilesTest.driver("printout-megohmmeter"));
    String head = "STORED RESULTS   UNIT HL-0231     22.5 C\r\n";
    String line = " %2d 03.02.26 14:%2d HV-LV    1.250,5  OK\r\n";
    played.arrives("\r\n" + head + line.formatted(12, 12) + line.formatted(13, 13));
    played.open();
    played.arrives("\r\n" + head + line.formatted(12, 12) + line.formatted(13, 13));
    played.arrives(line.formatted(14, 14));
    assertEquals(List.of(12L, 13L, 14L), numbers(played));
    assertEquals(2, played.host.repeats());
    assertEquals(List.of(), played.host.restarts());
    assertEquals(List.of(), played.faults);
  }

  @Test
  @DisplayName("DRV-14: with repeats-within the same figures are a repeat for so long")
  void repeatsWithin() throws Exception {
    Played played = Played.of(PLAIN.formatted("listen: {repeats-within: 300 ms}"));
    played.arrives("\r\n1.5 V\r\n");
    played.pass(Duration.ofMillis(299));
    played.arrives("1.5 V\r\n");
    assertEquals(1, played.host.readings().size());
    played.pass(Duration.ofMillis(301));
    played.arrives("1.5 V\r\n");
    assertEquals(2, played.host.readings().size());
    assertEquals(1, played.host.repeats());
  }

  @Test
  @DisplayName("a time of day is on the day that brings it nearest; a factor stands in the value")
  void timeAndFactor() throws Exception {
    Played played = Played.of(PLAIN.formatted(""));
    played.time.setWall(Instant.parse("2026-01-15T23:30:00Z")); // 00:30 on the 16th there
    played.arrives("\r\n23:59:59 1.5 V\r\n00:10:00 2.5 V\r\n1.50 V\r\n");
    List<Reading> readings = played.host.readings();
    assertEquals(Optional.of(Instant.parse("2026-01-15T22:59:59Z")), readings.get(0).takenAt());
    assertEquals(Optional.of(Instant.parse("2026-01-15T23:10:00Z")), readings.get(1).takenAt());
    assertEquals("1500 mV", text(readings.get(2)));
    assertTrue(readings.get(2).values().toString().contains("Optional[1000]"));
  }

  private static String text(Reading reading) {
    return reading
        .measured(reading.values().get(0).quantity())
        .map(m -> m.text() + " " + m.unit())
        .orElse("none");
  }

  @Test
  @DisplayName("a meter that is silent for longer than it may is told, noise or not")
  void silence() throws Exception {
    Played played = Played.of(PLAIN.formatted("listen: {silence: 1 min}"));
    played.pass(Duration.ofSeconds(40));
    played.arrives("1.5 V\r\n");
    played.pass(Duration.ofSeconds(59));
    played.arrives("noise\r\n");
    LinkException told =
        assertThrows(LinkException.class, () -> played.pass(Duration.ofSeconds(2)));
    assertEquals(FaultCode.LINK_SILENT, told.code());
    assertEquals("no line that makes sense came for 1 min", told.getMessage());
  }

  @Test
  @DisplayName("DRV-9: a fault within a block ends it, and what it remembered is gone")
  void blocks() throws Exception {
    Played played = new Played(ShippedFilesTest.driver("block-impedance"));
    String begin = "*** SHORT CIRCUIT TEST ***\r\nWINDINGS: HV-LV\r\nTAP: 3\r\n";
    played.arrives("\r\n" + begin + "U = 4#2 V\r\nwhat?\r\nI = 1 A\r\nP = 1 W\r\n*** END ***\r\n");
    assertEquals(List.of(), played.host.readings());
    assertEquals(
        List.of(
            FaultCode.FRAME_SYNTAX,
            FaultCode.OUT_OF_ORDER,
            FaultCode.OUT_OF_ORDER,
            FaultCode.OUT_OF_ORDER),
        played.faultCodes());
    played.arrives(begin + "TAP: 3\r\n".repeat(20));
    assertEquals(FaultCode.FRAME_TOO_LONG, played.faultCodes().get(4));
    played.arrives(begin + "U = 1 V\r\nI = 1 A\r\nP = 1 W\r\n*** END ***\r\n");
    assertEquals(1, played.host.readings().size());
    assertTrue(played.host.readings().get(0).raw().startsWith("*** SHORT CIRCUIT TEST ***\nWIND"));
  }
}
