package org.tallywire.line;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.nio.charset.StandardCharsets;
import java.util.Map;
import java.util.Random;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;

class LineMessageTest {

  @Test
  @DisplayName("L-9: text survives escaping, whatever it is")
  void roundTrip() throws FrameException {
    long seed = new Random().nextLong();
    Random random = new Random(seed);
    for (int i = 0; i < 2_000; i++) {
      String text =
          random
              .ints(random.nextInt(20), 1, 0x2FF)
              .collect(StringBuilder::new, StringBuilder::appendCodePoint, StringBuilder::append)
              .toString();
      LineMessage message = new LineMessage('!', "test", LineMessage.fieldsOf("x", text));
      byte[] bytes = message.bytes();
      for (byte b : bytes) {
        assertTrue((b >= 0x20 && b < 0x7F) || b == '\n', "byte " + b + ", seed " + seed);
      }
      String line = new String(bytes, StandardCharsets.US_ASCII).strip();
      Frame frame = new Frame(line.getBytes(StandardCharsets.US_ASCII), Wire.NOW);
      assertEquals(Map.of("x", text), LineMessage.parse(frame).fields(), "seed " + seed);
    }
  }

  @ParameterizedTest
  @ValueSource(
      strings = {
        "!",
        "!Reading a=1",
        "!reading a",
        "!reading a=1 a=2",
        "!reading  a=1",
        "!reading a=1 ",
        "!reading A=1",
        "!reading a=%4",
        "!reading a=%4a",
        "!reading a=%FF",
        "!reading a=b=c",
        "!reading a=%C3",
        "!reading =1",
        "!9 a=1"
      })
  @DisplayName("L-9 and L-10: what is not of the grammar is a syntax fault, never a message")
  void notOfTheGrammar(String body) {
    FrameException fault =
        assertThrows(FrameException.class, () -> LineMessage.parse(Wire.frame(body)));
    assertEquals(FaultCode.FRAME_SYNTAX, fault.code());
  }
}
