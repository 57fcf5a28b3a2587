package org.tallywire.simulator.face;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.Random;
import java.util.TreeMap;
import org.junit.jupiter.api.Test;
import org.tallywire.simulator.face.InstrumentFace.Outgoing;
import org.tallywire.simulator.tester.Measurement;
import org.tallywire.simulator.tester.Measurement.Channel;
import org.tallywire.simulator.tester.Measurement.Status;

/** The meter that only prints: its columns as its Javadoc describes them. */
class TalkOnlyFaceTest {

  private static final Instant NINE = Instant.parse("2026-11-25T09:00:01.950Z");

  private static final String TALK =
      """
      # METER SIM-0007
      #   No Time     Windings P Tap      Ratio  I exc mA Phas deg  Volt V Status
      TR    1 09:00:01 HV-LV    A   3    46.2039     4.31    -0.02   40.02 OK
      TR    2 09:00:02 HV-LV    A   3    45.1203     OVER    -0.02   40.02 OK
      #   No Time     Windings P Tap Resistance     Unit   Test A Wdg Cel Status
      WR    3 09:00:03 LV       b   -     12.345     mOhm    5.000    21.5 NOT-SETTLED
      WR    4 09:00:04 LV       b   -       OPEN      Ohm    5.000    21.5 SUSPECT
      """;

  private final TalkOnlyFace face = new TalkOnlyFace("SIM-0007");
  private Instant at = NINE;

  private void measure(Measurement measurement) {
    face.measured(measurement, at, 0);
    at = at.plus(Duration.ofSeconds(1));
  }

  private void measureRatios(int times) {
    for (int i = 0; i < times; i++) {
      measure(ScpiUnderTest.ratio("46.2039", "4.31"));
    }
  }

  private void measureTheFour() {
    measure(ScpiUnderTest.ratio("46.2039", "4.31"));
    measure(ScpiUnderTest.ratio("45.1203", "over-range"));
    measure(ScpiUnderTest.resistance(Channel.MILLIOHMS, "12.345", Status.NOT_SETTLED));
    measure(ScpiUnderTest.resistance(Channel.OHMS, "open", Status.SUSPECT));
  }

  private List<String> printed() {
    List<String> lines = new ArrayList<>();
    for (Optional<Outgoing> o = face.next(0); o.isPresent(); o = face.next(0)) {
      assertTrue(o.get().text().endsWith("\r\n"), o.get().text());
      lines.add(o.get().text().substring(0, o.get().text().length() - 2));
    }
    return lines;
  }

  private static List<String> readings(List<String> lines) {
    return lines.stream().filter(line -> !line.startsWith("#")).toList();
  }

  @Test
  void theTalk() {
    measureTheFour();
    assertEquals(TALK.lines().toList(), printed());
    assertTrue(printed().isEmpty(), "nothing is repeated");
  }

  /** Columns from 1, as the Javadoc of the face counts them. */
  private static String columns(String line, int first, int last) {
    return line.substring(first - 1, Math.min(last, line.length())).strip();
  }

  @Test
  void everyColumnIsWhereTheJavadocSays() {
    measureTheFour();
    String ratio = readings(printed()).get(0);
    int[][] places = {
      {1, 2}, {4, 7}, {9, 16}, {18, 25}, {27, 27}, {29, 31}, {33, 42}, {44, 51}, {53, 60}, {62, 68},
      {70, 80}
    };
    List<String> expected =
        List.of(
            "TR", "1", "09:00:01", "HV-LV", "A", "3", "46.2039", "4.31", "-0.02", "40.02", "OK");
    for (int i = 0; i < places.length; i++) {
      assertEquals(expected.get(i), columns(ratio, places[i][0], places[i][1]), "column " + i);
      if (i > 0) {
        assertEquals(' ', ratio.charAt(places[i][0] - 2), "a blank before column " + i);
      }
    }
  }

  @Test
  void theWidestValuesKeepTheColumns() {
    measure(
        new Measurement(
            "turns-ratio",
            "H1-H0/X1-X0",
            "C",
            OptionalInt.of(-17),
            new TreeMap<>(
                Map.of(
                    Channel.RATIO, "15000.0000",
                    Channel.EXCITATION_CURRENT, "1000.000",
                    Channel.PHASE_DISPLACEMENT, "-180.000",
                    Channel.TEST_VOLTAGE, "invalid")),
            Status.NOT_SETTLED,
            1));
    assertEquals(
        "TR    1 09:00:01 H1-H0/X1 C -17 15000.0000 1000.000 -180.000 INVALID NOT-SETTLED",
        readings(printed()).get(0));
    measure(
        new Measurement(
            "winding-resistance",
            "HV",
            "C",
            OptionalInt.empty(),
            new TreeMap<>(),
            Status.ABORTED,
            1));
    assertEquals(
        "WR    2 09:00:02 HV       C   -          -     mOhm        -       - ABORTED",
        readings(printed()).get(0));
  }

  @Test
  void theHeadingComesAgainAfterTwentyReadings() {
    measureRatios(41);
    List<String> lines = printed();
    for (int i = 0; i < lines.size(); i++) {
      boolean heading = i == 0 || (i - 1) % (TalkOnlyFace.ROWS + 1) == 0;
      assertEquals(heading, lines.get(i).startsWith("#"), i + ": " + lines.get(i));
    }
    assertEquals(41, readings(lines).size());
  }

  @Test
  void theNumberBeginsAgainAtZeroAfter9999() {
    for (int i = 0; i < 10_001; i++) {
      measureRatios(1);
      List<String> rows = readings(printed());
      assertEquals(Integer.toString((i + 1) % 10_000), columns(rows.get(0), 4, 7));
    }
  }

  @Test
  void whatIsHeardChangesNothing() {
    long seed = System.nanoTime();
    Random random = new Random(seed);
    measureTheFour();
    List<String> lines = new ArrayList<>();
    for (Optional<Outgoing> o = face.next(0); o.isPresent(); o = face.next(0)) {
      byte[] garbage = new byte[random.nextInt(100)];
      random.nextBytes(garbage);
      face.received(garbage, garbage.length, 0);
      lines.add(o.get().text().stripTrailing());
    }
    assertEquals(TALK.lines().toList(), lines, "seed " + seed);
    assertTrue(face.asked());
  }

  @Test
  void whatIsMeasuredWhileNobodyIsThereIsLost() {
    measureRatios(2);
    printed();
    measureRatios(1);
    face.linkLost();
    measureRatios(3);
    assertTrue(printed().isEmpty());
    measureRatios(1);
    assertEquals("7", columns(readings(printed()).get(0), 4, 7));
  }

  @Test
  void whatTheBufferCannotHoldIsLost() {
    measureRatios(TalkOnlyFace.BUFFER + 3);
    assertEquals(TalkOnlyFace.BUFFER, readings(printed()).size());
    measureRatios(1);
    assertEquals("204", columns(readings(printed()).get(0), 4, 7));
  }

  @Test
  void theSerialMustFitTheTitle() {
    assertThrows(IllegalArgumentException.class, () -> new TalkOnlyFace("a".repeat(61)));
    assertThrows(IllegalArgumentException.class, () -> new TalkOnlyFace("a\r\nTR"));
  }

  @Test
  void aLineSaysWhichReadingItCarries() {
    measureRatios(2);
    List<Long> numbers = new ArrayList<>();
    for (Optional<Outgoing> o = face.next(0); o.isPresent(); o = face.next(0)) {
      numbers.add(o.get().seq());
    }
    assertEquals(List.of(0L, 0L, 1L, 2L), numbers);
    assertEquals(Long.MAX_VALUE, face.untilNext(0));
  }
}
