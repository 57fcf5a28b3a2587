package org.tallywire.simulator.face;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertInstanceOf;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.zip.CRC32C;
import org.junit.jupiter.api.Test;
import org.tallywire.simulator.face.InstrumentClock.Quality;
import org.tallywire.simulator.face.LineCodec.Decoded;
import org.tallywire.simulator.tester.Measurement;
import org.tallywire.simulator.tester.Measurement.Channel;

/** Section 2 of shared/protocol.md, line by line, and the instrument that says the same. */
class ProtocolPageTest {

  private static final Path PAGE = Path.of("..", "shared", "protocol.md");

  /** The bridge's and the instrument's lines, the speaker's letter in front. */
  private static List<String> spoken() throws IOException {
    return Files.readAllLines(PAGE).stream().filter(line -> line.matches("[BI] [><!].*")).toList();
  }

  private static List<String> conversation() throws IOException {
    return spoken().stream().map(line -> line.substring(2)).toList();
  }

  @Test
  void everyLineOfTheConversationHasTheCheckValueWeCompute() throws IOException {
    List<String> lines = conversation();
    assertTrue(lines.size() >= 20, "section 2 shows at least 20 lines, found " + lines.size());
    for (String text : lines) {
      Decoded decoded = LineCodec.decode(text.getBytes(StandardCharsets.US_ASCII));
      Line line = assertInstanceOf(Decoded.Whole.class, decoded, text).line();
      assertEquals(text + "\n", LineCodec.encode(line));
    }
  }

  @Test
  void theCheckValueIsTheCatalogues() {
    // L-5; CRC catalogue, CRC-16/IBM-3740, check over "123456789"; over one zero byte: E1F0.
    assertEquals(0x29B1, LineCodec.check("123456789".getBytes(StandardCharsets.US_ASCII), 9));
    assertEquals(0xE1F0, LineCodec.check(new byte[1], 1));
    assertEquals(0xFFFF, LineCodec.check(new byte[0], 0));
  }

  @Test
  void theRegisterGoesAsThePageShows() {
    byte[] body = ">beat".getBytes(StandardCharsets.US_ASCII);
    int[] shown = {0x366D, 0x7771, 0x4373, 0x7720, 0x1063};
    for (int i = 0; i < shown.length; i++) {
      assertEquals(shown[i], LineCodec.check(body, i + 1));
    }
  }

  @Test
  void everyReadingOfThePageHasTheDigestWeCompute() throws IOException { // L-33
    List<String> readings =
        conversation().stream().filter(line -> line.startsWith("!reading")).toList();
    assertEquals(3, readings.size());
    for (String reading : readings) {
      int end = reading.indexOf(" digest=");
      CRC32C digest = new CRC32C();
      digest.update(reading.substring(0, end).getBytes(StandardCharsets.US_ASCII));
      assertEquals("%08X".formatted(digest.getValue()), reading.substring(end + 8, end + 16));
    }
  }

  /**
   * Plays the bridge of section 2 to the instrument, which must say the page's lines byte for byte.
   * Only the channels are its own: the page's instrument has four.
   */
  @Test
  void theInstrumentSaysTheConversationOfThePage() throws IOException {
    FaceUnderTest face = new FaceUnderTest(new Store(500), "7c1e09aa", Quality.FREE);
    face.startAt(Instant.parse("2026-11-25T09:00:00.012Z"));
    face.face.powerUp(0);
    int acknowledgements = 0;
    int readings = 0;
    for (String line : spoken()) {
      String text = line.substring(2) + "\n";
      boolean lost = text.startsWith(">ack") && ++acknowledgements == 2;
      if (line.startsWith("B") && !lost) {
        face.sayText(text);
      } else if (line.startsWith("I") && !text.startsWith("<channel")) {
        makeReady(face, text, readings);
        readings += text.startsWith("!reading") ? 1 : 0;
        assertEquals(text, said(face));
      }
    }
    assertEquals("2 3", readings - 1 + " " + acknowledgements);
    assertEquals(Optional.empty(), face.nextText());
  }

  /** Measures what the page's instrument measured, or lets the time pass. */
  private static void makeReady(FaceUnderTest face, String text, int readings) {
    if (text.startsWith("!reading") && readings == 0) {
      face.pass(Duration.ofMillis(1238));
      face.measure(ratio(1, "46.2039", "4.31", "40.02"));
    } else if (text.startsWith("!reading") && readings == 1) {
      face.pass(Duration.ofMillis(700));
      face.measure(ratio(2, "45.1203", "over-range", "40.01"));
    } else if (text.startsWith("!reading")) {
      for (int beat = 0; beat < 3; beat++) {
        face.passBeats(1);
        face.beat();
        face.heard("beat");
      }
      face.pass(Duration.ofMillis(1));
    } else if (text.startsWith("!beat")) {
      face.passBeats(1);
    }
  }

  private static Measurement ratio(int tap, String ratio, String milliamperes, String volts) {
    return Measurement.ratio(
        "A",
        tap,
        Map.of(
            Channel.RATIO, ratio,
            Channel.EXCITATION_CURRENT, milliamperes,
            Channel.PHASE_DISPLACEMENT, "0.02",
            Channel.TEST_VOLTAGE, volts));
  }

  private static String said(FaceUnderTest face) {
    Optional<String> text = face.nextText();
    while (text.isPresent() && text.get().startsWith("<channel")) {
      text = face.nextText();
    }
    return text.orElse("nothing");
  }
}
