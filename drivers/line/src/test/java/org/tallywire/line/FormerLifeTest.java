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
import org.tallywire.api.Gap;
import org.tallywire.api.LinkException;
import org.tallywire.kit.ManualTime;
import org.tallywire.kit.RecordingHost;

/** What a session knows of the links before it. */
class FormerLifeTest {

  private final ManualTime time = new ManualTime();
  private final RecordingHost host = new RecordingHost(time);
  private LineSession session = new LineSession(host);

  @Test
  @DisplayName("L-15c: what the old boot id had given and did not arrive is declared, same link")
  void startedAgain() throws Exception {
    open("b1", Wire.CHANNEL_2);
    hear(Wire.reading(1));
    hear("!beat boot=b1 last=3 held=3");
    hear("!start boot=b2");
    hear(hello("b2", 4));
    list(5, Wire.CHANNEL_2);
    assertLost();
    assertEquals(1, host.restarts().size());
    assertTrue(host.restarts().get(0).endsWith("its boot id is b2, it was b1"));
  }

  @Test
  @DisplayName("L-15c: the same where its power failed and the link went with it")
  void linkOpenedAgain() throws Exception {
    open("b1", Wire.CHANNEL_2);
    hear(Wire.reading(1));
    hear("!beat boot=b1 last=3 held=3");
    openAgain();
    open("b2", Wire.CHANNEL_2);
    assertLost();
  }

  @Test
  @DisplayName("L-15c: nothing is declared where all had arrived, or the boot id is the same")
  void nothingLost() throws Exception {
    open("b1", Wire.CHANNEL_2);
    hear(Wire.reading(1));
    hear("!beat boot=b1 last=1 held=0");
    openAgain();
    host.setLastRecorded(1);
    open("b1", Wire.CHANNEL_2);
    hear("!beat boot=b1 last=2 held=1");
    openAgain();
    open("b1", Wire.CHANNEL_2);
    assertEquals(List.of(), host.gaps());
  }

  @Test
  @DisplayName("L-17c: two lists under one boot id are an alarm, also from link to link")
  void otherListOnTheNextLink() throws Exception {
    open("b1", Wire.CHANNEL_2);
    openAgain();
    FrameException alarm =
        assertThrows(FrameException.class, () -> open("b1", Wire.CHANNEL_2.replace("=mA", "=A")));
    assertEquals(FaultCode.CONTRADICTION, alarm.code());
  }

  @Test
  @DisplayName("L-16e: requests do not begin with the same number on the next link")
  void requestNumbers() throws Exception {
    session.start();
    String first = host.takeSent().get(0);
    openAgain();
    session.start();
    assertEquals(false, first.equals(host.takeSent().get(0)));
  }

  @Test
  @DisplayName("L-27e: four beats that tell of a reading that does not come make it ask again")
  void beatsAhead() throws Exception {
    open("b1", Wire.CHANNEL_2);
    for (int beat = 1; beat < 4; beat++) {
      hear("!beat boot=b1 last=1 held=1");
    }
    assertEquals(List.of(), host.takeSent());
    hear("!beat boot=b1 last=1 held=1");
    assertEquals(
        List.of(Wire.line(">send req=4 boot=b1 after=0 credit=15") + "\n"), host.takeSent());
  }

  @Test
  @DisplayName("L-15c: a beat while the session is being opened says nothing of the former life")
  void beatWhileOpening() throws Exception {
    open("b1", Wire.CHANNEL_2);
    hear(Wire.reading(1));
    hear("!beat boot=b1 last=1 held=0");
    hear("!start boot=b2");
    hear(hello("b2", 4));
    hear("!beat boot=b2 last=5 held=5");
    list(5, Wire.CHANNEL_2);
    assertEquals(List.of(), host.gaps());
    openAgain();
    session.start();
    long request = time.nanos() / 1_000_000 + 1;
    hear(hello("b3", request));
    hear("!beat boot=b3 last=9 held=9");
    list(request + 1, Wire.CHANNEL_2);
    assertEquals(List.of(), host.gaps(), "what b2 gave was never asked for: first says so");
  }

  @Test
  @DisplayName("L-27e: asked five times in vain, the link is closed and the reason said")
  void beatsAheadForEver() throws Exception {
    open("b1", Wire.CHANNEL_2);
    LinkException closed =
        assertThrows(
            LinkException.class,
            () -> {
              for (int beat = 0; beat < 100; beat++) {
                hear("!beat boot=b1 last=1 held=1");
                for (String sent : host.takeSent()) {
                  hear("<ok req=%s first=1 last=1".formatted(sent.substring(10, 11)));
                }
              }
            });
    assertTrue(String.valueOf(closed.getMessage()).contains("asked 5 times"), closed.toString());
  }

  @Test
  @DisplayName("An instrument that starts again all the time is let go, and the reason said")
  void startsForEver() throws Exception {
    session.start();
    LinkException closed =
        assertThrows(
            LinkException.class,
            () -> {
              for (int start = 0; start < 100; start++) {
                hear("!start boot=b" + start);
              }
            });
    assertEquals(FaultCode.LINK_REFUSED, closed.code());
  }

  @Test
  @DisplayName("L-15c: a former life is remembered while another instrument has the place")
  void anotherMeanwhile() throws Exception {
    open("b1", Wire.CHANNEL_2);
    hear(Wire.reading(1));
    hear("!beat boot=b1 last=3 held=3");
    openAgain();
    session.start();
    long request = time.nanos() / 1_000_000 + 1;
    hear(hello("x1", request).replace("serial=007", "serial=008"));
    list(request + 1, Wire.CHANNEL_2);
    assertEquals(List.of(), host.gaps());
    assertEquals(List.of(), host.restarts(), "another instrument is no restart");
    openAgain();
    open("b2", Wire.CHANNEL_2);
    assertLost();
    assertEquals(1, host.restarts().size());
  }

  private void assertLost() {
    Gap gap = host.gaps().get(0);
    assertEquals("b1", gap.from().epoch());
    assertEquals(2, gap.from().number());
    assertEquals(3, gap.to());
    assertEquals(Gap.Reason.SKIPPED, gap.reason());
    assertEquals(1, host.gaps().size());
  }

  private void openAgain() {
    time.pass(Duration.ofSeconds(1));
    session = new LineSession(host);
  }

  /** Opens a session on a new link and goes on until readings can come. */
  private void open(String boot, String secondChannel) throws Exception {
    session.start();
    long request = time.nanos() / 1_000_000 + 1;
    hear(hello(boot, request));
    list(request + 1, secondChannel);
    int first = boot.equals("b1") ? host.readings().size() + 1 : 1;
    hear("<ok req=%d first=%d last=1".formatted(request + 2, first));
    host.takeSent();
  }

  private void list(long request, String secondChannel) throws Exception {
    hear(Wire.CHANNEL_1.replace("req=2", "req=" + request));
    hear(secondChannel.replace("req=2", "req=" + request));
  }

  private static String hello(String boot, long request) {
    return Wire.HELLO.replace("boot=b1", "boot=" + boot).replace("req=1", "req=" + request);
  }

  private void hear(String body) throws Exception {
    session.frame(Wire.frame(body));
  }
}
