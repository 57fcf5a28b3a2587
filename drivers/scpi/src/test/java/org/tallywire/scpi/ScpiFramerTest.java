package org.tallywire.scpi;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.Framer;

class ScpiFramerTest {

  private final ScpiFramer framer = new ScpiFramer();
  private final List<String> cut = new ArrayList<>();

  private void feed(String text) {
    byte[] bytes = Wire.bytes(text);
    framer.feed(
        bytes,
        bytes.length,
        Instant.EPOCH,
        new Framer.Sink() {
          @Override
          public void frame(Frame frame) {
            cut.add(frame.text());
          }

          @Override
          public void fault(FrameException fault) {
            cut.add(fault.code().word());
          }
        });
  }

  @Test
  @DisplayName("LF, CR and CR LF end a message; a block may hold them")
  void ends() {
    feed("1\n2\r\n3\r#15a\nb\rc,4\n\"#15\"\n\n5;#13\n\n\n\n");
    assertEquals(List.of("1", "2", "3", "#15a\nb\rc,4", "\"#15\"", "5;#13\n\n\n"), cut);
  }

  @Test
  @DisplayName(
      "Where a number sign heads no block, or not at an element's start, lines end as ever")
  void noBlocks() {
    feed("#H1F\nno 1#15\n#1x\n#\nACME,#A,7\n");
    assertEquals(List.of("#H1F", "no 1#15", "#1x", "#", "ACME,#A,7"), cut);
  }

  @Test
  @DisplayName("A damaged length costs that line; at most the limit is kept of what never ends")
  void bounds() {
    feed("#9999999999\n1\n");
    assertEquals(List.of("frame-too-long", "1"), cut);
    cut.clear();
    feed("x".repeat(ScpiFramer.LIMIT * 3));
    feed("\n2\n");
    assertEquals(List.of("frame-too-long", "2"), cut);
    cut.clear();
    String whole = "#6" + (ScpiFramer.LIMIT - 8) + "y".repeat(ScpiFramer.LIMIT - 8);
    feed(whole + "\n");
    assertEquals(List.of(whole), cut);
    cut.clear();
    feed("#6" + (ScpiFramer.LIMIT - 7) + "\n3\n");
    assertEquals(List.of("frame-too-long", "3"), cut);
  }

  @Test
  void noise() {
    feed("\u0000\u00ff1\n2\n");
    assertEquals(List.of("frame-noise", "2"), cut);
    assertTrue(framer.limit() > 0);
  }
}
