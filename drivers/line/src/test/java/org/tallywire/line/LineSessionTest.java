package org.tallywire.line;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Optional;
import org.junit.jupiter.api.BeforeEach;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.ValueSource;
import org.tallywire.api.FaultCode;
import org.tallywire.api.FrameException;
import org.tallywire.api.Gap;
import org.tallywire.api.LinkException;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.SequenceNumber;
import org.tallywire.api.Value;
import org.tallywire.kit.ManualTime;
import org.tallywire.kit.RecordingHost;

class LineSessionTest {

  private final ManualTime time = new ManualTime();
  private final RecordingHost host = new RecordingHost(time);
  private final LineSession session = new LineSession(host);

  @BeforeEach
  void open() throws LinkException {
    session.start();
  }

  @Test
  @DisplayName(
      "L-12 to L-23: hello, channels, send, a reading, and its acknowledgement when durable")
  void conversation() throws Exception {
    assertEquals(List.of(sent(">hello req=1 version=1.1")), host.takeSent());
    hear(Wire.HELLO);
    assertEquals("bench tester", host.instruments().get(0).model());
    assertEquals(List.of(sent(">channels req=2")), host.takeSent());
    hear("<channel req=2 n=2 of=2 ch=2 quantity=excitation-current unit=mA");
    hear("<channel req=2 n=1 of=2 ch=1 quantity=turns-ratio unit=1");
    assertEquals(List.of(sent(">send req=3 boot=b1 after=0 credit=15")), host.takeSent());
    hear("<ok req=3 first=1 last=0");
    hear(Wire.reading(1));
    assertEquals(List.of(), host.takeSent(), "nothing is acknowledged before it is on disk");
    session.durable();
    assertEquals(List.of(sent(">ack boot=b1 seq=1 credit=15")), host.takeSent());

    Reading reading = host.readings().get(0);
    assertEquals(Optional.of(new SequenceNumber("b1", 1)), reading.sequence());
    assertEquals("46.2010", reading.measured(Quantity.TURNS_RATIO).orElseThrow().text());
    assertEquals(
        Value.Reason.OVER_RANGE,
        ((Value.Missing) reading.value(Quantity.EXCITATION_CURRENT).orElseThrow()).reason());
    assertEquals(Optional.of(Instant.parse("2026-01-15T08:00:00.250Z")), reading.takenAt());
    assertEquals("1", reading.labels().get("tap"));
    assertEquals(Wire.line(Wire.reading(1)), reading.raw());
  }

  @Test
  @DisplayName("L-19: a session goes on after the last reading that is on disk")
  void resumes() throws Exception {
    host.setLastRecorded(41);
    greetAndList();
    assertEquals(List.of(sent(">send req=3 boot=b1 after=41 credit=15")), host.takeSent());
  }

  @Test
  @DisplayName("L-25: a repeat is handed on to be compared, and acknowledged again")
  void repeat() throws Exception {
    receive();
    hear(Wire.reading(1));
    session.durable();
    host.takeSent();
    hear(Wire.reading(1) + " resent=1");
    session.durable();
    assertEquals(List.of(sent(">ack boot=b1 seq=1 credit=15")), host.takeSent());
    assertEquals(2, host.readings().size());
    assertTrue(host.readings().get(0).saysTheSame(host.readings().get(1)));
  }

  @Test
  @DisplayName("L-27c: a number skipped though asked for five times is declared as a gap")
  void skipped() throws Exception {
    receive();
    hear(Wire.reading(1));
    for (int request = 4; request < 9; request++) {
      hear(Wire.reading(4));
      assertEquals(
          List.of(sent(">send req=%d boot=b1 after=1 credit=15".formatted(request))),
          host.takeSent());
      assertEquals(1, host.readings().size());
      hear("<ok req=%d first=2 last=4".formatted(request));
    }
    hear(Wire.reading(4));
    Gap gap = host.gaps().get(0);
    assertEquals(2, gap.from().number());
    assertEquals(3, gap.to());
    assertEquals(Gap.Reason.SKIPPED, gap.reason());
    session.durable();
    assertEquals(List.of(sent(">ack boot=b1 seq=4 credit=15")), host.takeSent());
  }

  @Test
  @DisplayName("L-26: what the instrument declares lost becomes a gap and is acknowledged")
  void lost() throws Exception {
    receive();
    hear("!lost boot=b1 from=1 to=5");
    hear(Wire.reading(6));
    session.durable();
    assertEquals(Gap.Reason.OVERFLOW, host.gaps().get(0).reason());
    assertEquals(5, host.gaps().get(0).to());
    assertEquals(List.of(sent(">ack boot=b1 seq=6 credit=15")), host.takeSent());
  }

  @ParameterizedTest
  @ValueSource(
      strings = {
        "!start boot=b2",
        "!beat boot=b2 last=0 held=0",
        "!reading boot=b2 seq=1 clock=none status=ok v1=1",
        "!lost boot=b2 from=1 to=1"
      })
  @DisplayName("L-15: any line of another boot begins the session anew")
  void reboot(String body) throws Exception {
    receive();
    hear(body);
    assertEquals(List.of(sent(">hello req=4 version=1.1")), host.takeSent());
    assertEquals(List.of(), host.readings());
  }

  @Test
  @DisplayName("L-16 and L-29: a request is repeated three times, then the link counts as silent")
  void unanswered() throws Exception {
    host.takeSent();
    for (int i = 0; i < 3; i++) {
      time.pass(Duration.ofMillis(300));
      session.tick();
      assertEquals(List.of(sent(">hello req=1 version=1.1")), host.takeSent());
    }
    time.pass(Duration.ofMillis(300));
    LinkException silent = assertThrows(LinkException.class, session::tick);
    assertEquals(FaultCode.LINK_SILENT, silent.code());
  }

  @ParameterizedTest
  @ValueSource(strings = {"2.0", "0.9", "10.1"})
  @DisplayName("L-12c: another major version is refused")
  void otherMajor(String version) {
    FrameException refused =
        assertThrows(
            FrameException.class,
            () -> hear(Wire.HELLO.replace("version=1.1", "version=" + version)));
    assertEquals(FaultCode.VERSION_REFUSED, refused.code());
  }

  @ParameterizedTest
  @ValueSource(strings = {"1", "1.0.0", "x", "1.x", "1.01", "-1.0", ""})
  @DisplayName("L-12d: what is not two whole numbers is no hello, and is asked for again")
  void noVersion(String version) throws Exception {
    host.takeSent();
    FrameException fault =
        assertThrows(
            FrameException.class,
            () -> hear(Wire.HELLO.replace("version=1.1", "version=" + version)));
    assertEquals(FaultCode.FRAME_SYNTAX, fault.code());
    time.pass(Duration.ofMillis(300));
    session.tick();
    assertEquals(List.of(sent(">hello req=1 version=1.1")), host.takeSent());
  }

  @Test
  @DisplayName("L-12: unknown kinds and fields of a higher minor version are ignored")
  void higherMinor() throws Exception {
    hear(Wire.HELLO.replace("version=1.1", "version=1.99") + " moon=full");
    hear("!weather sun=1");
    hear("<channel req=2 n=1 of=1 ch=1 quantity=turns-ratio unit=1 colour=red");
    hear("<ok req=3 first=1 last=0");
    hear("!reading boot=b1 seq=1 clock=none status=ok v1=1.0 mood=good");
    assertEquals(1, host.readings().size());
  }

  @ParameterizedTest
  @ValueSource(
      strings = {
        "v1=NaN",
        "v1=1e400",
        "v1=0x10",
        "v1=1,5",
        "v1=--1",
        "v1=+1",
        "v1=01",
        "v1=.5",
        "v1=5.",
        "v1=",
        "v3=1",
        "v0=1",
        "status=fine v1=1",
        "v1=1 clock=free",
        ""
      })
  @DisplayName("L-20 to L-22: what is no reading is a fault, declared with its line; on it goes")
  void noReading(String fields) throws Exception {
    receive();
    String body = "!reading boot=b1 seq=1 " + fields;
    String whole =
        body
            + (fields.contains("clock=") ? "" : " clock=none")
            + (fields.contains("status=") ? "" : " status=ok");
    FrameException fault =
        assertThrows(FrameException.class, () -> hear(whole.replace("seq=1  ", "seq=1 ")));
    assertEquals(FaultCode.FRAME_SYNTAX, fault.code());
    Gap gap = host.gaps().get(0);
    assertEquals(Gap.Reason.UNREADABLE, gap.reason());
    assertEquals(1, gap.to());
    assertTrue(gap.raw().startsWith("!reading boot=b1 seq=1"), gap.raw());
    session.durable();
    assertEquals(List.of(sent(">ack boot=b1 seq=1 credit=15")), host.takeSent());
    hear(Wire.reading(2));
    assertEquals(1, host.readings().size());
  }

  @Test
  @DisplayName("L-27b: a missing reading is asked for again while it does not come, five times")
  void asksFiveTimes() throws Exception {
    receive();
    hear(Wire.reading(1));
    for (int request = 4; request < 9; request++) {
      hear(Wire.reading(3));
      assertEquals(
          List.of(sent(">send req=%d boot=b1 after=1 credit=15".formatted(request))),
          host.takeSent());
      hear("<ok req=%d first=2 last=3".formatted(request));
    }
    hear(Wire.reading(2));
    hear(Wire.reading(3));
    assertEquals(List.of(), host.gaps());
    assertEquals(3, host.readings().size());
  }

  @Test
  @DisplayName("L-17b: a list with a line missing is asked for again, with the same line (L-16d)")
  void waitsForTheRestOfTheList() throws Exception {
    host.takeSent();
    hear(Wire.HELLO);
    hear("<channel req=2 n=1 of=2 ch=1 quantity=turns-ratio unit=1");
    host.takeSent();
    time.pass(Duration.ofMillis(300));
    session.tick();
    assertEquals(List.of(sent(">channels req=2")), host.takeSent());
  }

  @ParameterizedTest
  @ValueSource(
      strings = {
        "beat=50",
        "beat=x",
        "beat=600001",
        "store=0",
        "store=1000000001",
        "line=99",
        "line=241",
        "boot=a.b"
      })
  @DisplayName("L-13: a hello that breaks a rule is a fault and does not count as the answer")
  void wrongHello(String field) throws Exception {
    host.takeSent();
    String key = field.substring(0, field.indexOf('='));
    String hello = Wire.HELLO.replaceFirst(" " + key + "=[^ ]*", " " + field);
    assertThrows(FrameException.class, () -> hear(hello));
    time.pass(Duration.ofMillis(300));
    session.tick();
    assertEquals(List.of(sent(">hello req=1 version=1.1")), host.takeSent());
  }

  @Test
  @DisplayName("L-30: an error about a request that is settled changes nothing")
  void staleError() throws Exception {
    receive();
    hear("<error req=2 code=302 text=old");
    assertEquals(List.of(), host.takeSent());
  }

  @Test
  @DisplayName("L-18: a reading before any was asked for is refused")
  void tooEarly() throws Exception {
    hear(Wire.HELLO);
    FrameException fault = assertThrows(FrameException.class, () -> hear(Wire.reading(1)));
    assertEquals(FaultCode.OUT_OF_ORDER, fault.code());
  }

  private void receive() throws Exception {
    greetAndList();
    hear("<ok req=3 first=1 last=0");
    host.takeSent();
  }

  private void greetAndList() throws Exception {
    host.takeSent();
    hear(Wire.HELLO);
    hear("<channel req=2 n=1 of=2 ch=1 quantity=turns-ratio unit=1");
    host.takeSent();
    hear("<channel req=2 n=2 of=2 ch=2 quantity=excitation-current unit=mA");
  }

  private void hear(String body) throws Exception {
    session.frame(Wire.frame(body));
  }

  private static String sent(String body) {
    return Wire.line(body) + "\n";
  }
}
