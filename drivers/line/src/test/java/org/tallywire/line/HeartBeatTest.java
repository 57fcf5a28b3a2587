package org.tallywire.line;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.time.Duration;
import java.util.List;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.tallywire.api.FaultCode;
import org.tallywire.api.FrameException;
import org.tallywire.api.LinkException;

class HeartBeatTest {

  private static final Duration INTERVAL = Duration.ofSeconds(2);

  private final Talk talk = new Talk();

  @Test
  @DisplayName("L-28a: a beat is due just before the interval is over, not earlier")
  void beat() throws Exception {
    talk.receive();
    talk.sent();
    talk.pass(Duration.ofMillis(1799));
    assertEquals(List.of(), talk.sent());
    talk.pass(Duration.ofMillis(1));
    assertEquals(List.of(">beat"), talk.sent());
    assertTrue(talk.session.nextTick() - talk.time.nanos() < INTERVAL.toNanos(), "the next one");
  }

  @Test
  @DisplayName("L-28a: whatever else was sent takes the place of a beat")
  void otherLines() throws Exception {
    talk.receive();
    talk.sent();
    for (int number = 1; number <= 10; number++) {
      talk.pass(Duration.ofMillis(1500));
      talk.hear(Wire.reading(number));
      talk.session.durable();
      assertEquals(List.of(">ack boot=b1 seq=%d credit=15".formatted(number)), talk.sent());
    }
    talk.pass(Duration.ofMillis(1800));
    assertEquals(List.of(">beat"), talk.sent());
  }

  @Test
  @DisplayName("L-28c: silence of 2.5 intervals and the line time of 240 bytes is the end")
  void silence() throws Exception {
    talk.host.setBaud(1200); // 240 bytes take 2 s
    talk.receive();
    talk.pass(Duration.ofMillis(6999));
    talk.pass(Duration.ofMillis(1));
    talk.time.pass(Duration.ofNanos(1));
    assertEquals(0, talk.session.nextTick() - talk.time.nanos(), "the session wakes up for it");
    LinkException silent = assertThrows(LinkException.class, talk.session::tick);
    assertEquals(FaultCode.LINK_SILENT, silent.code());
  }

  @Test
  @DisplayName("L-28b: every undamaged line is a sign of life, also one that is of no use")
  void signOfLife() throws Exception {
    talk.receive();
    for (int i = 0; i < 4; i++) {
      talk.pass(Duration.ofSeconds(4));
      talk.hear("!beat boot=b1 last=0 held=0");
      talk.pass(Duration.ofSeconds(4));
      talk.hear("!weather");
      talk.pass(Duration.ofSeconds(4));
      assertThrows(FrameException.class, () -> talk.hear("!Weather"));
    }
  }

  @Test
  @DisplayName("L-28b: our own lines, echoed, are no sign of life")
  void noSignOfLife() throws Exception {
    talk.receive();
    for (int i = 0; i < 5; i++) {
      talk.pass(Duration.ofSeconds(1));
      talk.hear(">beat");
      String wrong = Wire.reading(1) + " digest=00000000";
      assertThrows(FrameException.class, () -> talk.hear(wrong));
    }
    talk.time.pass(Duration.ofMillis(50));
    LinkException silent = assertThrows(LinkException.class, talk.session::tick);
    assertEquals(FaultCode.LINK_SILENT, silent.code());
  }
}
