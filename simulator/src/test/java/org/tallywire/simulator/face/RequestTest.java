package org.tallywire.simulator.face;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.time.Duration;
import java.util.List;
import java.util.Map;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;

/** Which requests are answered, with which error, and which are not acted upon. */
class RequestTest {

  private final FaceUnderTest face = new FaceUnderTest(new Store(5));

  private String codeOf(String request) {
    face.sayChecked(request);
    return face.heard("error").fields().get("code");
  }

  private List<String> kinds() {
    return face.heard().stream().map(Line::kind).toList();
  }

  @Test
  @DisplayName("L-19c: a field that is none, then boot id and session, then after beyond the last")
  void sendIsCheckedInThisOrder() {
    String ours = " boot=" + FaceUnderTest.BOOT;
    for (String bad :
        List.of(
            " after=99 credit=8",
            " boot=other after=x credit=8",
            " boot=other credit=8",
            " boot=other after=99 credit=65",
            ours + " after=99 credit=0",
            ours + " after=99")) {
      assertEquals("202", codeOf(">send req=1" + bad), bad);
    }
    assertEquals("302", codeOf(">send req=2 boot=other after=99 credit=8"));
    assertEquals("302", codeOf(">send req=3 after=99 credit=8" + ours), "no hello yet");
    face.open(0, 8);
    face.heard();
    assertEquals("302", codeOf(">send req=4 boot=other after=99 credit=8"));
    assertEquals("202", codeOf(">send req=5 after=99 credit=8" + ours));
    face.measure(1);
    assertEquals("1", face.heard("reading").fields().get("seq"), "a refused one changes nothing");
    face.pass(Duration.ofMillis(5021));
    assertEquals(List.of(), face.heard());
    assertEquals("302", codeOf(">send req=6 after=0 credit=8" + ours), "L-28c: after a silence");
  }

  @Test
  @DisplayName("L-12c: version is two whole numbers and a point, else 202; another major is 301")
  void versions() {
    for (String bad :
        List.of("", "1", "1.", ".1", "1.1.1", "1.x", "1,1", "1.1234567890123456789")) {
      assertEquals("202", codeOf(">hello req=1 version=" + bad), bad);
    }
    for (String other : List.of("0.9", "2.0", "10.1", "999999999999999999.0")) {
      assertEquals("301", codeOf(">hello req=1 version=" + other), other);
    }
    for (String ours : List.of("1.0", "1.1", "1.999999999999999999")) {
      face.sayChecked(">hello req=1 version=" + ours);
      assertEquals("1.1", face.heard("hello").fields().get("version"), "each states its own");
    }
  }

  @Test
  @DisplayName("L-30c: without one readable req a request is not answered and not acted upon")
  void withoutARequestNumberNothingHappens() {
    face.open(0, 8);
    face.heard();
    for (String bad :
        List.of(
            ">hello version=1.1", ">hello version=2.0 req=", ">hello version=1.1 req=1 req=2")) {
      face.sayChecked(bad);
      assertEquals(List.of(), face.heard(), bad);
    }
    face.sayChecked(">send after=0 credit=1 boot=" + FaceUnderTest.BOOT);
    face.measure(2);
    assertEquals(List.of("reading", "reading"), kinds(), "the session and its credit go on");
  }

  @Test
  @DisplayName("L-37a: the same hello again ends the session, one with a syntax fault does not")
  void helloEndsTheSession() {
    String again = ">hello req=1 version=1.1";
    face.open(0, 8);
    face.heard();
    assertEquals("101", codeOf(again + " version=1.1"));
    face.measure(1);
    assertEquals(List.of("reading"), kinds());
    face.sayChecked(again);
    face.sayChecked(again);
    face.measure(1);
    assertEquals(List.of("hello", "hello"), kinds());
    face.passBeats(1);
    face.measure(1);
    assertEquals(List.of("beat"), kinds(), "greeted, but not asked for readings: L-18");
  }

  @Test
  @DisplayName("L-9c: values are compared without escapes")
  void valuesAreComparedWithoutEscapes() {
    face.sayChecked(">hello req=1 version=1%2E1");
    assertEquals(List.of("hello"), kinds());
    face.measure(2);
    face.sayChecked(">send req=2 boot=%62oot%2D1 after=%30 credit=1");
    assertEquals(List.of("ok", "reading"), kinds());
    face.sayChecked(">ack boot=boot%2D1 seq=%31 credit=1");
    assertEquals("2", face.heard("reading").fields().get("seq"));
  }

  @Test
  @DisplayName("L-31a: no text is so long that its line gets too long, however it is escaped")
  void textsLeaveRoomForTheirLine() {
    face.say(new Line('>', "hello").with("req", 999_999_999).with("version", "1.1"));
    String hello = face.nextText().orElseThrow();
    assertTrue(hello.length() <= LineCodec.LONGEST + 1, hello);
    String stars = "*".repeat(80);
    Line error = InstrumentLines.error("999999999", 101, stars);
    assertEquals(
        Map.of("req", "999999999", "code", "101", "text", stars.substring(0, 64)), error.fields());
    assertTrue(LineCodec.encode(error).length() <= LineCodec.LONGEST + 1);
    Line wide = InstrumentLines.error("999999999", 101, "\u00B5".repeat(80));
    String text = LineCodec.encode(wide);
    assertTrue(text.length() <= LineCodec.LONGEST + 1, text);
  }
}
