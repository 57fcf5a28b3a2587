package org.tallywire.simulator.face;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.time.Duration;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.TreeMap;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.EnumSource;
import org.tallywire.simulator.face.InstrumentClock.Quality;
import org.tallywire.simulator.tester.Measurement;
import org.tallywire.simulator.tester.Measurement.Channel;
import org.tallywire.simulator.tester.Measurement.Status;

/** L-20, L-33 and L-34: the instrument's time and the digest of its readings. */
class ClockAndDigestTest {

  private static final Instant NINE = Instant.parse("2026-11-25T09:00:00Z");

  private static FaceUnderTest face(Quality quality) {
    FaceUnderTest face = new FaceUnderTest(new Store(500), FaceUnderTest.BOOT, quality);
    face.startAt(NINE);
    face.pass(Duration.ofSeconds(100));
    face.face.powerUp(Duration.ofSeconds(100).toNanos());
    face.heard();
    return face;
  }

  /** The register of the catalogue's CRC-32/ISCSI, bit by bit, not the library's. */
  private static String digestOf(String text) {
    int register = -1;
    for (byte b : text.getBytes(StandardCharsets.US_ASCII)) {
      register ^= b;
      for (int bit = 0; bit < 8; bit++) {
        register = (register & 1) != 0 ? register >>> 1 ^ 0x82F63B78 : register >>> 1;
      }
    }
    return "%08X".formatted(~register);
  }

  private static String time(Line line) {
    return line.fields().get("clock")
        + line.text("at").map(at -> " at " + at).orElse("")
        + line.text("uptime").map(uptime -> " up " + uptime).orElse("");
  }

  private static String expected(Quality quality, String at, String uptime) {
    return switch (quality) {
      case NONE -> "none";
      case RELATIVE -> "relative up " + uptime;
      case FREE -> "free at " + at;
      case SYNCHRONISED -> "synchronised at " + at;
    };
  }

  @ParameterizedTest
  @EnumSource(Quality.class)
  @DisplayName("L-20b, L-20c, L-34b: a reading and >clock tell the time as good as it is")
  void everyClockTellsItsTime(Quality quality) {
    FaceUnderTest face = face(quality);
    face.open(0, 8);
    face.heard();
    face.pass(Duration.ofMillis(1250));
    face.measure(1);
    Line reading = face.heard("reading");
    assertEquals(expected(quality, "2026-11-25T09:01:41.250Z", "1250"), time(reading));
    face.pass(Duration.ofMillis(7));
    face.sayChecked(">clock req=4");
    Line answer = face.heard("clock");
    assertEquals("4", answer.fields().get("req"));
    assertEquals(expected(quality, "2026-11-25T09:01:41.257Z", "1257"), time(answer));
  }

  @Test
  @DisplayName("L-34b: a repeated >clock is answered with the time of the answer")
  void aRepeatedClockIsAnsweredAnew() {
    FaceUnderTest face = face(Quality.FREE);
    face.open(0, 8);
    face.sayChecked(">clock req=4");
    face.heard();
    face.pass(Duration.ofMillis(300));
    face.sayChecked(">clock req=4");
    assertEquals("2026-11-25T09:01:40.300Z", face.heard("clock").fields().get("at"));
  }

  @Test
  @DisplayName("L-32b: a bridge of version 1.0 is not told a word that it cannot know")
  void anOlderBridgeIsNotToldNewWords() {
    FaceUnderTest face = face(Quality.RELATIVE);
    face.measure(1);
    face.sayChecked(">hello req=1 version=1.0");
    assertEquals("1.1", face.heard("hello").fields().get("version"));
    face.send(2, 0, 8);
    List<Line> lines = face.heard();
    assertEquals(
        "1 1", lines.get(0).fields().get("first") + " " + lines.get(0).fields().get("last"));
    assertEquals("none", time(lines.get(1)));
    assertTrue(lines.get(1).text("digest").isPresent(), "an unknown field is ignored, L-32a");
  }

  @Test
  @DisplayName("L-33: the catalogue's figure")
  void theDigestIsTheCatalogues() {
    assertEquals("E3069283", digestOf("123456789"));
  }

  @Test
  @DisplayName("L-33, L-24c: the digest is last but for resent, and the same in a repeat")
  void theDigestStandsLastAndStaysInARepeat() {
    FaceUnderTest face = face(Quality.FREE);
    face.measure(2);
    face.open(0, 8);
    List<String> first = readings(face);
    face.send(4, 0, 8);
    List<String> again = readings(face);
    assertEquals(2, first.size());
    for (int i = 0; i < first.size(); i++) {
      String digest = digestOf(first.get(i).substring(0, first.get(i).indexOf(" digest=")));
      assertTrue(first.get(i).endsWith(" digest=" + digest), first.get(i));
      assertEquals(first.get(i) + " resent=1", again.get(i));
    }
    assertNotEquals(
        first.get(0).substring(first.get(0).indexOf(" digest=")),
        first.get(1).substring(first.get(1).indexOf(" digest=")));
  }

  @Test
  @DisplayName("L-33a: what is lost carries a digest too")
  void whatIsLostHasADigest() {
    FaceUnderTest face = new FaceUnderTest(new Store(2));
    face.measure(5);
    face.open(0, 8);
    List<Line> lost = face.heardAll("lost");
    assertEquals(1, lost.size());
    assertEquals(
        digestOf("!lost boot=%s from=1 to=3".formatted(FaceUnderTest.BOOT)),
        lost.get(0).fields().get("digest"));
  }

  /** What goes out now, readings only, without check value. */
  private static List<String> readings(FaceUnderTest face) {
    List<String> readings = new ArrayList<>();
    for (Optional<String> text = face.nextText(); text.isPresent(); text = face.nextText()) {
      if (text.get().startsWith("!reading ")) {
        readings.add(text.get().substring(0, text.get().lastIndexOf('*')));
      }
    }
    return readings;
  }

  /** As wide as L-17a lets the values of this instrument be, and a word of L-22a. */
  private static List<Measurement> widest() {
    return List.of(
        widest(
            "turns-ratio",
            OptionalInt.of(-17),
            Map.of(
                Channel.RATIO, "15000.0",
                Channel.EXCITATION_CURRENT, "over-range",
                Channel.PHASE_DISPLACEMENT, "-180.000",
                Channel.TEST_VOLTAGE, "50.00")),
        widest(
            "winding-resistance",
            OptionalInt.of(-17),
            Map.of(
                Channel.MILLIOHMS, "over-range",
                Channel.TEST_CURRENT, "12.000",
                Channel.TEMPERATURE, "150.0")));
  }

  private static Measurement widest(String test, OptionalInt tap, Map<Channel, String> values) {
    return new Measurement(test, "HV-LV", "A", tap, new TreeMap<>(values), Status.NOT_SETTLED, 1);
  }

  @ParameterizedTest
  @EnumSource(Quality.class)
  @DisplayName("L-6a: the longest reading fits a line with digest, resent and a boot id of 16")
  void theLongestReadingFitsALine(Quality quality) {
    FaceUnderTest face = new FaceUnderTest(new Store(500), "b".repeat(16), quality);
    List<String> repeats = repeatsOfTheWidest(face);
    assertEquals(widest().size(), repeats.size(), "none is refused as too long");
    int longest = 0;
    for (String repeat : repeats) {
      assertTrue(repeat.endsWith(" resent=1"), repeat);
      longest = Math.max(longest, repeat.length() + "*0000".length());
    }
    System.out.printf("longest reading, clock %s: %d bytes%n", quality, longest);
    // A number here has one digit; with twelve more it would still fit.
    assertTrue(longest + 12 <= LineCodec.LONGEST, "longest " + longest);
  }

  @Test
  @DisplayName("L-6a: a reading that does not fit a line gets no number")
  void aReadingThatIsTooLongGetsNoNumber() {
    FaceUnderTest face = new FaceUnderTest(new Store(500), "b".repeat(32), Quality.SYNCHRONISED);
    List<String> repeats = repeatsOfTheWidest(face);
    assertEquals(1, repeats.size(), "the resistance fits, the ratio does not");
    assertTrue(repeats.get(0).contains(" seq=1 "), repeats.get(0));
    assertTrue(face.remarks.get(0).contains("L-6a"), face.remarks.get(0));
  }

  private static List<String> repeatsOfTheWidest(FaceUnderTest face) {
    face.startAt(Instant.parse("9999-12-31T00:00:00Z"));
    widest().forEach(face::measure);
    face.open(0, 64);
    readings(face);
    face.send(4, 0, 64);
    return readings(face);
  }
}
