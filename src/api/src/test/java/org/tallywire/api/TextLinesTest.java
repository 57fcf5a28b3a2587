package org.tallywire.api;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.nio.charset.StandardCharsets;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Random;
import org.junit.jupiter.api.Test;

class TextLinesTest {

  private final Framer lines = new TextLines(8);
  private final List<String> cut = new ArrayList<>();

  private final Framer.Sink sink =
      new Framer.Sink() {
        @Override
        public void frame(Frame frame) {
          cut.add(frame.text());
        }

        @Override
        public void fault(FrameException fault) {
          cut.add(fault.code().word());
        }
      };

  private void feed(String text) {
    byte[] bytes = text.getBytes(StandardCharsets.ISO_8859_1);
    lines.feed(bytes, bytes.length, Instant.EPOCH, sink);
  }

  @Test
  void everyEndOfLineIsOneAndEmptyLinesAreNone() {
    feed("a\rb\nc\r\nd\n\re\n\n\r\r");
    assertEquals(List.of("a", "b", "c", "d", "e"), cut);
  }

  @Test
  void theLongestLinePassesAndOneByteMoreIsOneFault() {
    feed("12345678\n123456789\n" + "x".repeat(1000) + "\nok\n");
    assertEquals(List.of("12345678", "frame-too-long", "frame-too-long", "ok"), cut);
  }

  @Test
  void whatIsNoTextIsNoise() {
    feed("\0\u00FF\u00F8x\na\tb\n\u007F\n");
    assertEquals(List.of("frame-noise", "a\tb", "frame-noise"), cut);
  }

  @Test
  void halfALineIsForgottenWithTheLink() {
    feed("half");
    lines.reset();
    feed("whole\n");
    assertEquals(List.of("whole"), cut);
  }

  @Test
  void everyCutGivesTheSame() {
    String text = "one\r\ntwo\rthree\n\0\nfar too long a line\r\nfour\n";
    feed(text);
    List<String> whole = List.copyOf(cut);
    long seed = new Random().nextLong();
    Random random = new Random(seed);
    for (int round = 0; round < 100; round++) {
      cut.clear();
      for (int from = 0; from < text.length(); ) {
        int to = Math.min(text.length(), from + 1 + random.nextInt(7));
        feed(text.substring(from, to));
        from = to;
      }
      assertEquals(whole, cut, "seed " + seed);
    }
  }

  @Test
  void aLineHasAtLeastOneByte() {
    assertThrows(IllegalArgumentException.class, () -> new TextLines(0));
  }
}
