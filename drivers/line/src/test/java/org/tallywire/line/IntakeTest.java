package org.tallywire.line;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.time.Duration;
import java.util.List;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;
import org.tallywire.api.FaultCode;
import org.tallywire.api.FrameException;
import org.tallywire.api.Gap;

/** What is taken, asked for again and declared: rules L-19 and L-23 to L-27. */
class IntakeTest {

  private final Talk talk = new Talk();

  @Test
  @DisplayName("L-19d: numbers the instrument no longer has are declared at once")
  void noLongerThere() throws Exception {
    talk.host.setLastRecorded(41);
    talk.greetAndList(Wire.HELLO);
    talk.sent();
    talk.hear("<ok req=3 first=45 last=50");
    gap(0, 42, 44, Gap.Reason.SKIPPED);
    assertTrue(talk.host.gaps().get(0).detail().contains("no longer has them"));
    talk.hear(Wire.reading(45));
    talk.session.durable();
    assertEquals(List.of(">ack boot=b1 seq=45 credit=15"), talk.sent());
    assertEquals(1, talk.host.gaps().size());
  }

  @ParameterizedTest
  @CsvSource({"42, 41", "42, 99", "1, 41", "40, 41"})
  @DisplayName("L-19b: first may be the next number or one before, where a !lost has grown")
  void nothingMissing(long first, long last) throws Exception {
    talk.host.setLastRecorded(41);
    talk.greetAndList(Wire.HELLO);
    talk.hear("<ok req=3 first=%d last=%d".formatted(first, last));
    assertEquals(List.of(), talk.host.gaps());
    assertEquals("ready", talk.lastStatus());
  }

  @ParameterizedTest
  @ValueSource(
      strings = {"", "first=1", "last=0", "first=0 last=0", "first=3 last=1", "first=1 last=-1"})
  @DisplayName("L-19b: an ok of version 1.1 without a right first and last is no answer")
  void wrongOk(String fields) throws Exception {
    talk.greetAndList(Wire.HELLO);
    assertThrows(FrameException.class, () -> talk.hear(("<ok req=3 " + fields).strip()));
    talk.sent();
    talk.pass(Duration.ofMillis(300));
    assertEquals(List.of(">send req=3 boot=b1 after=0 credit=15"), talk.sent());
    assertEquals(List.of(), talk.host.gaps());
  }

  @Test
  @DisplayName("Section 9: version 1.0 says neither first nor last")
  void older() throws Exception {
    talk.greetAndList(Wire.HELLO.replace("version=1.1", "version=1.0"));
    talk.hear("<ok req=3");
    assertEquals("ready", talk.lastStatus());
    talk.hear(Wire.reading(1));
    assertEquals(1, talk.host.readings().size());
  }

  @Test
  @DisplayName("L-27: readings between two sends are let pass until the second is answered")
  void betweenTwoSends() throws Exception {
    talk.receive();
    talk.hear(Wire.reading(1));
    talk.sent();
    talk.hear(Wire.reading(3));
    assertEquals(List.of(">send req=4 boot=b1 after=1 credit=15"), talk.sent());
    talk.hear(Wire.reading(4)); // on its way before we asked
    talk.hear("<ok req=3 first=1 last=0"); // of the send that was replaced: no answer
    talk.hear(Wire.reading(5));
    assertEquals(List.of(), talk.sent());
    assertEquals(List.of(), talk.host.gaps());
    talk.hear("<ok req=4 first=2 last=5");
    for (int number = 2; number <= 5; number++) {
      talk.hear(Wire.reading(number) + " resent=1");
    }
    assertEquals(5, talk.host.readings().size());
    assertEquals(List.of(), talk.host.gaps());
  }

  @Test
  @DisplayName("L-19d: what came between asking and the answer is not declared missing")
  void cameMeanwhile() throws Exception {
    talk.receive();
    talk.hear(Wire.reading(2));
    talk.hear(Wire.reading(1)); // late, before the answer
    talk.hear(Wire.reading(2));
    talk.hear("<ok req=4 first=3 last=2");
    assertEquals(2, talk.host.readings().size());
    assertEquals(List.of(), talk.host.gaps());
  }

  @Test
  @DisplayName("L-27: a number skipped behind a !lost is asked for too")
  void skippedBehindLost() throws Exception {
    talk.receive();
    talk.sent();
    talk.hear("!lost boot=b1 from=1 to=5");
    talk.hear(Wire.reading(7));
    assertEquals(List.of(">send req=4 boot=b1 after=5 credit=15"), talk.sent());
    talk.hear("<ok req=4 first=6 last=7");
    talk.hear(Wire.reading(6));
    talk.hear(Wire.reading(7));
    assertEquals(1, talk.host.gaps().size());
    assertEquals(2, talk.host.readings().size());
  }

  @Test
  @DisplayName("L-27: a !lost that skips a number is asked for again, then both are declared")
  void lostSkips() throws Exception {
    talk.receive();
    talk.sent();
    for (int request = 4; request < 9; request++) {
      talk.hear("!lost boot=b1 from=3 to=5");
      String asks = ">send req=%d boot=b1 after=0 credit=15".formatted(request);
      assertEquals(List.of(asks), talk.sent());
      talk.hear("<ok req=%d first=1 last=5".formatted(request));
    }
    talk.hear("!lost boot=b1 from=3 to=5");
    gap(0, 1, 2, Gap.Reason.SKIPPED);
    gap(1, 3, 5, Gap.Reason.OVERFLOW);
  }

  @Test
  @DisplayName("L-26c: of a range that has grown only what is new is declared, and it is acked")
  void grown() throws Exception {
    talk.receive();
    talk.hear("!lost boot=b1 from=1 to=5");
    talk.hear("!lost boot=b1 from=1 to=8");
    talk.hear("!lost boot=b1 from=1 to=5");
    gap(0, 1, 5, Gap.Reason.OVERFLOW);
    gap(1, 6, 8, Gap.Reason.OVERFLOW);
    assertEquals(2, talk.host.gaps().size());
    talk.sent();
    talk.session.durable();
    assertEquals(List.of(">ack boot=b1 seq=8 credit=15"), talk.sent());
  }

  @ParameterizedTest
  @ValueSource(
      strings = {
        "!reading boot=b1 seq=1000000000000000000 clock=none status=ok v1=1",
        "!reading boot=b1 seq=01 clock=none status=ok v1=1",
        "!reading boot=b1 seq=+1 clock=none status=ok v1=1",
        "!reading boot=b1 seq=0 clock=none status=ok v1=1",
        "!lost boot=b1 from=1 to=9223372036854775807",
        "!lost boot=b1 from=2 to=1",
        "!lost boot=b1 from=0 to=1",
        "!lost from=1 to=1",
        "!beat boot=b1 last=0",
        "!beat boot=b1 held=0 last=x"
      })
  @DisplayName("Section 8: whole numbers have no sign, no leading zero, at most 18 digits")
  void noNumber(String line) throws Exception {
    talk.receive();
    talk.sent();
    FrameException fault = assertThrows(FrameException.class, () -> talk.hear(line));
    assertEquals(FaultCode.FRAME_SYNTAX, fault.code());
    talk.session.durable();
    assertEquals(List.of(), talk.sent());
    assertEquals(List.of(), talk.host.gaps());
  }

  @Test
  @DisplayName("Section 8: the largest number of 18 digits does not break the count")
  void largest() throws Exception {
    long largest = 999_999_999_999_999_999L;
    talk.host.setLastRecorded(largest - 1);
    talk.greetAndList(Wire.HELLO);
    talk.hear("<ok req=3 first=%d last=%d".formatted(largest, largest));
    talk.sent();
    talk.hear(Wire.reading(largest));
    talk.session.durable();
    assertEquals(List.of(">ack boot=b1 seq=%d credit=15".formatted(largest)), talk.sent());
  }

  @Test
  @DisplayName("L-25b and L-27d: an unreadable repeat of a reading is declared once, with its line")
  void unreadableRepeat() throws Exception {
    talk.receive();
    talk.hear(Wire.reading(1));
    String bad = Wire.reading(1).replace("status=ok", "status=fine");
    assertThrows(FrameException.class, () -> talk.hear(bad));
    assertThrows(FrameException.class, () -> talk.hear(bad + " resent=1"));
    gap(0, 1, 1, Gap.Reason.CONFLICT);
    assertTrue(talk.host.gaps().get(0).raw().contains("status=fine"));
    assertEquals(1, talk.host.gaps().size());
  }

  @ParameterizedTest
  @ValueSource(
      strings = {
        "!reading seq=1 clock=none status=ok v1=1",
        "!reading boot=b1 seq=1 clock=none status=ok phase=%s v1=1",
        "!reading boot=b1 seq=1 status=ok v1=1",
        "!reading boot=b1 seq=1 clock=none v1=1"
      })
  @DisplayName("L-27d and L-31a: a reading that breaks a rule is declared, and acknowledged")
  void unreadable(String line) throws Exception {
    talk.receive();
    talk.sent();
    String body = line.replace("%s", "x".repeat(65));
    assertThrows(FrameException.class, () -> talk.hear(body));
    gap(0, 1, 1, Gap.Reason.UNREADABLE);
    talk.session.durable();
    assertEquals(List.of(">ack boot=b1 seq=1 credit=15"), talk.sent());
  }

  @Test
  @DisplayName("L-31a: a label of 64 characters is taken")
  void longestLabel() throws Exception {
    talk.receive();
    talk.hear("!reading boot=b1 seq=1 clock=none status=ok test=%s v1=1".formatted("x".repeat(64)));
    assertEquals(1, talk.host.readings().size());
  }

  @ParameterizedTest
  @ValueSource(strings = {"<hello req=1 version=1.1 boot=b2", "<ok req=9 boot=b2", "!moon boot=b2"})
  @DisplayName("L-15b: another boot id in any line at all begins anew")
  void otherBoot(String line) throws Exception {
    talk.receive();
    talk.sent();
    talk.hear(line);
    assertEquals(List.of(">hello req=4 version=1.1"), talk.sent());
  }

  @Test
  @DisplayName("L-10b, L-24c: a repeat with its fields in another order says the same")
  void otherOrder() throws Exception {
    talk.receive();
    talk.hear(Wire.reading(1));
    String turned = Wire.reading(1).replaceAll(" v1=(\\S+) v2=(\\S+)", " v2=$2 v1=$1");
    talk.hear(turned + " resent=1");
    assertTrue(talk.host.readings().get(0).saysTheSame(talk.host.readings().get(1)));
  }

  @Test
  @DisplayName("L-27d: an unreadable line is kept once, also over links; another one again")
  void evidence() throws Exception {
    talk.receive();
    for (String line : new String[] {"v1=4x", "v1=4x resent=1", "v1=5y", "v1=5y resent=1"}) {
      assertThrows(
          FrameException.class,
          () -> talk.hear("!reading boot=b1 seq=1 clock=none status=ok " + line));
    }
    assertEquals(2, talk.host.gaps().size());
  }

  private void gap(int index, long from, long to, Gap.Reason reason) {
    Gap gap = talk.host.gaps().get(index);
    assertEquals(List.of(from, to, reason), List.of(gap.from().number(), gap.to(), gap.reason()));
  }
}
