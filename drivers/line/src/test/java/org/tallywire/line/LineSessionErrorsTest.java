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
import org.tallywire.api.LinkException;

/** What the bridge does after each class of errors: section 7 and rule L-30. */
class LineSessionErrorsTest {

  private static final Duration TIME_IS_UP = Duration.ofMillis(300);

  private final Talk talk = new Talk();

  @ParameterizedTest
  @CsvSource({
    "101, false",
    "199, false",
    "401, true",
    "499, true",
    "501, true",
    "0, true",
    "601, true",
    "999999, true"
  })
  @DisplayName("Section 7: 1xx, 4xx, 5xx and others: the request is repeated when its time is up")
  void repeated(int code, boolean said) throws Exception {
    talk.hear(Wire.HELLO);
    talk.sent();
    talk.time.pass(Duration.ofMillis(100));
    String line = "<error req=2 code=%d text=cold%%20start".formatted(code);
    FrameException fault = assertThrows(FrameException.class, () -> talk.hear(line));
    assertEquals(FaultCode.INSTRUMENT_ERROR, fault.code());
    assertEquals(List.of(), talk.sent(), "not before its time is up");
    String status = talk.lastStatus();
    assertEquals(said, status.contains("error %d: cold start".formatted(code)), status);
    talk.pass(TIME_IS_UP);
    assertEquals(List.of(">channels req=2"), talk.sent());
    talk.hear(Wire.CHANNEL_1);
    talk.hear(Wire.CHANNEL_2);
    assertEquals(List.of(">send req=3 boot=b1 after=0 credit=15"), talk.sent());
  }

  @Test
  @DisplayName("L-29d: an instrument that answers with errors only: closed, with the error")
  void errorsOnly() throws Exception {
    talk.hear(Wire.HELLO);
    for (int i = 0; i < 3; i++) {
      assertThrows(FrameException.class, () -> talk.hear("<error req=2 code=501 text=full"));
      talk.pass(TIME_IS_UP);
    }
    assertThrows(FrameException.class, () -> talk.hear("<error req=2 code=501 text=full"));
    LinkException end = assertThrows(LinkException.class, () -> talk.pass(TIME_IS_UP));
    assertEquals(FaultCode.LINK_REFUSED, end.code());
    assertTrue(String.valueOf(end.getMessage()).contains("error 501: full"), end.getMessage());
  }

  @ParameterizedTest
  @ValueSource(ints = {201, 202, 299})
  @DisplayName("Section 7: 2xx about hello, channels or a send of nothing: closed, not repeated")
  void refused(int code) throws Exception {
    closes("<error req=1 code=" + code, "\"hello\" with error " + code);
    talk.hear(Wire.HELLO);
    closes("<error req=2 code=" + code, "\"channels\" with error " + code);
    talk.hear(Wire.CHANNEL_1);
    talk.hear(Wire.CHANNEL_2);
    closes("<error req=3 code=" + code, "\"send\" with error " + code);
  }

  @ParameterizedTest
  @ValueSource(strings = {"<error req=3 code=202 text=no", "<ok req=3 first=41 last=40"})
  @DisplayName("L-19c: an instrument that denies a reading that is on disk is not the one we knew")
  void denied(String answer) throws Exception {
    talk.host.setLastRecorded(41);
    talk.greetAndList(Wire.HELLO);
    closes(answer, "denies reading 41 of boot id b1");
    assertEquals(List.of(), talk.host.gaps());
  }

  @Test
  @DisplayName("L-12c: 301 ends the session, whatever it answers")
  void versionRefused() throws Exception {
    FrameException fault =
        assertThrows(FrameException.class, () -> talk.hear("<error req=1 code=301 text=old"));
    assertEquals(FaultCode.VERSION_REFUSED, fault.code());
  }

  @ParameterizedTest
  @ValueSource(ints = {302, 303, 399})
  @DisplayName("Section 7: 3xx: begins anew, the second time before an <ok it closes")
  void outOfState(int code) throws Exception {
    talk.greetAndList(Wire.HELLO);
    talk.sent();
    assertThrows(FrameException.class, () -> talk.hear("<error req=3 code=" + code));
    assertEquals(List.of(">hello req=4 version=1.1"), talk.sent());
    again(4);
    closes("<error req=6 code=" + code, "error " + code);
  }

  @Test
  @DisplayName("Section 7: 3xx again after an <ok begins anew again")
  void notInARow() throws Exception {
    talk.greetAndList(Wire.HELLO);
    assertThrows(FrameException.class, () -> talk.hear("<error req=3 code=302"));
    again(4);
    talk.hear("<ok req=6 first=1 last=0");
    talk.hear(Wire.reading(2)); // asks again
    talk.sent();
    assertThrows(FrameException.class, () -> talk.hear("<error req=7 code=302"));
    assertEquals(List.of(">hello req=8 version=1.1"), talk.sent());
  }

  @ParameterizedTest
  @ValueSource(
      strings = {
        "<error req=2 code=302",
        "<error req=4 code=202",
        "<error req=3 code=201",
        "<error req=1 code=301"
      })
  @DisplayName("L-30d: an error about a request that is not open changes nothing")
  void notOpen(String line) throws Exception {
    talk.receive();
    talk.sent();
    talk.hear(line);
    talk.pass(Duration.ofSeconds(1));
    assertEquals(List.of(), talk.sent());
    assertEquals("ready", talk.lastStatus());
  }

  @ParameterizedTest
  @ValueSource(
      strings = {
        "<error code=202",
        "<error req=02 code=202",
        "<error req=1000000000 code=202",
        "<error req=1",
        "<error req=1 code=x",
        "<ok first=1 last=0",
        "<hello version=1.1",
        "!start",
        "!start boot=b.1"
      })
  @DisplayName("L-16a and L-10c: an answer without its request or a field is a syntax fault")
  void withoutField(String line) {
    talk.sent();
    FrameException fault = assertThrows(FrameException.class, () -> talk.hear(line));
    assertEquals(FaultCode.FRAME_SYNTAX, fault.code());
    assertEquals(List.of(), talk.sent());
  }

  @ParameterizedTest
  @ValueSource(strings = {"maker", "model", "serial", "firmware"})
  @DisplayName("L-31a: a text has 64 characters, counted as people do, and not 65")
  void texts(String key) throws Exception {
    String hello = Wire.HELLO.replaceFirst(" " + key + "=[^ ]*", " " + key + "=");
    int at = hello.indexOf(key + "=") + key.length() + 1;
    assertThrows(
        FrameException.class,
        () -> talk.hear(new StringBuilder(hello).insert(at, "x".repeat(65)).toString()));
    talk.hear(new StringBuilder(hello).insert(at, "%F0%9F%94%8C".repeat(64)).toString());
    assertEquals(1, talk.host.instruments().size());
  }

  /** Answers hello and channels, requests n and n + 1. */
  private void again(int n) throws Exception {
    talk.hear(Wire.HELLO.replace("req=1", "req=" + n));
    talk.hear(Wire.CHANNEL_1.replace("req=2", "req=" + (n + 1)));
    talk.hear(Wire.CHANNEL_2.replace("req=2", "req=" + (n + 1)));
    talk.sent();
  }

  private void closes(String line, String words) {
    LinkException end = assertThrows(LinkException.class, () -> talk.hear(line));
    assertEquals(FaultCode.LINK_REFUSED, end.code());
    String message = String.valueOf(end.getMessage());
    assertTrue(message.contains(words), message);
  }
}
