package org.tallywire.simulator;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertInstanceOf;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.IOException;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.List;
import java.util.stream.Collectors;
import org.junit.jupiter.api.Test;
import org.tallywire.simulator.LineCodec.Decoded;

/** Section 1 of shared/protocol.md, line by line, and its table of kinds. */
class ProtocolPageTest {

  private static final Path PAGE = Path.of("..", "shared", "protocol.md");

  private static List<String> conversation() throws IOException {
    return Files.readAllLines(PAGE).stream()
        .filter(line -> line.matches("[BI] [><!].*"))
        .map(line -> line.substring(2))
        .collect(Collectors.toList());
  }

  @Test
  void everyLineOfTheConversationHasTheCheckValueWeCompute() throws IOException {
    List<String> lines = conversation();
    assertTrue(lines.size() >= 12, "section 1 shows at least 12 lines, found " + lines.size());
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
  void theHelloOfThePageIsAnsweredWithEveryFieldOfThePage() throws IOException {
    String shown =
        conversation().stream().filter(line -> line.startsWith("<hello")).findFirst().orElseThrow();
    Decoded decoded = LineCodec.decode(shown.getBytes(StandardCharsets.US_ASCII));
    FaceUnderTest face = new FaceUnderTest(new Store(500));
    face.say(new Line('>', "hello").with("req", 1).with("version", "1.0"));
    Line ours = face.heard("hello");
    assertEquals(((Decoded.Whole) decoded).line().fields().keySet(), ours.fields().keySet());
    assertEquals("pretend tester", ours.fields().get("model"));
  }
}
