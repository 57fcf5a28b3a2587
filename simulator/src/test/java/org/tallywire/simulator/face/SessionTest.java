package org.tallywire.simulator.face;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.time.Duration;
import java.util.List;
import java.util.Optional;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;

/** What version 1.1 asks of a session beyond {@link LineFaceTest}. */
class SessionTest {

  private static final String DECIMAL = "-?(0|[1-9][0-9]*)(\\.[0-9]+)?";

  private final FaceUnderTest face = new FaceUnderTest(new Store(5));

  private static String code(Line error) {
    return error.fields().get("code");
  }

  private static String told(Line ok) {
    return ok.fields().get("first") + " " + ok.fields().get("last");
  }

  private void hello(String req, String version) {
    face.sayChecked(">hello req=" + req + " version=" + version);
  }

  @Test
  @DisplayName("L-13c: the hello lists the optional parts")
  void theHelloListsTheOptionalParts() {
    hello("1", "1.1");
    assertEquals("clock,digest", face.heard("hello").fields().get("can"));
  }

  @Test
  @DisplayName("L-19b: first is the number that comes next, last the last one given")
  void okTellsWhatItHas() {
    face.open(0, 1);
    assertEquals("1 0", told(face.heard("ok")), "nothing measured");
    face.measure(3);
    face.send(4, 0, 1);
    assertEquals("1 3", told(face.heard("ok")));
    face.send(5, 2, 1);
    List<Line> lines = face.heard();
    assertEquals("3 3", told(lines.get(0)));
    assertEquals("3", lines.get(1).fields().get("seq"));
    face.ack(3, 1);
    face.send(6, 1, 1);
    assertEquals("4 3", told(face.heard("ok")), "nothing held: last + 1");
  }

  @Test
  @DisplayName("L-19b: first is where !lost begins, cut to what was asked for")
  void okTellsWhereALossBegins() {
    face.measure(12);
    face.open(0, 1);
    List<Line> lines = face.heard();
    assertEquals("1 12", told(lines.get(1)));
    assertEquals("1", lines.get(2).fields().get("from"));
    face.send(4, 4, 1);
    lines = face.heard();
    assertEquals("5 12", told(lines.get(0)));
    assertEquals("5 7", lines.get(1).fields().get("from") + " " + lines.get(1).fields().get("to"));
    face.send(5, 9, 1);
    assertEquals("10 12", told(face.heard("ok")));
  }

  @Test
  @DisplayName("L-16d: a repeated >send is told the same first, and gets what is unacknowledged")
  void aRepeatedSendIsAnsweredAsBefore() {
    face.measure(2);
    face.open(0, 8);
    face.heard();
    face.ack(1, 8);
    face.measure(1);
    assertEquals("3", face.heard("reading").fields().get("seq"));
    face.send(3, 0, 8);
    List<Line> lines = face.heard();
    assertEquals("1 3", told(lines.get(0)), "the same first, the last number given so far");
    assertEquals(List.of(2L, 3L), FaceUnderTest.numbers(lines.subList(1, 3), "seq"));
    assertTrue(lines.subList(1, 3).stream().allMatch(line -> line.text("resent").isPresent()));
    face.send(4, 0, 8);
    assertEquals("2 3", told(face.heard("ok")), "L-16e: another req is a new request");
  }

  @Test
  @DisplayName("L-16d: only the last request can be repeated; one before it is a new one")
  void onlyTheLastRequestIsRepeated() {
    face.measure(2);
    face.open(0, 8);
    face.heard();
    face.ack(1, 8);
    face.say(new Line('>', "channels").with("req", 4));
    face.send(3, 0, 8);
    assertEquals("2 2", told(face.heard("ok")));
  }

  @Test
  @DisplayName("L-23d: beyond the last number sent an acknowledgement is ignored, though given")
  void anAcknowledgementBeyondTheLastSentIsIgnored() {
    face.measure(4);
    face.open(0, 2);
    face.heard();
    face.ack(3, 2);
    assertEquals(List.of(), face.heardAll("reading"));
    face.ack(2, 2);
    assertEquals(List.of(3L, 4L), FaceUnderTest.numbers(face.heardAll("reading"), "seq"));
  }

  @Test
  @DisplayName("L-26a: nobody acknowledges, the store overflows, the repeat begins with !lost")
  void nobodyAcknowledges() {
    face.open(0, 2);
    face.measure(3);
    assertEquals(List.of(1L, 2L), FaceUnderTest.numbers(face.heardAll("reading"), "seq"));
    for (int i = 0; i < 3; i++) {
      face.passBeats(1);
      face.measure(2);
      face.beat();
      assertEquals(List.of(), face.heardAll("reading"), "the credit is used up");
    }
    face.passBeats(0.1);
    List<Line> lines = face.heard();
    Line lost = lines.get(0);
    assertEquals("lost", lost.kind());
    assertEquals("1 4", lost.fields().get("from") + " " + lost.fields().get("to"));
    assertEquals(Optional.empty(), lost.text("resent"), "L-26c");
    assertEquals("5", lines.get(1).fields().get("seq"), "the loss counts one against the credit");
    assertEquals(2, lines.size());
    face.ack(4, 8);
    assertEquals(List.of(6L, 7L, 8L, 9L), FaceUnderTest.numbers(face.heardAll("reading"), "seq"));
  }

  @Test
  @DisplayName("L-28a: a beat only where nothing else was sent within the interval")
  void aBeatOnlyWhereNothingElseWasSent() {
    face.open(0, 8);
    face.heard();
    for (int i = 0; i < 6; i++) {
      face.passBeats(0.9);
      face.measure(1);
      face.beat();
      assertEquals(List.of("reading"), face.heard().stream().map(Line::kind).toList());
      face.ack(i + 1, 8);
    }
    face.passBeats(0.9);
    assertEquals(List.of(), face.heard());
    face.passBeats(0.1);
    Line beat = face.heard("beat");
    assertEquals(List.of("boot", "last", "held"), List.copyOf(beat.fields().keySet()));
  }

  @Test
  @DisplayName("L-28c: silence is 2.5 beats and the line time of 240 bytes, 20.83 ms at 115200")
  void silenceAllowsForALine() {
    face.open(0, 8);
    face.heard();
    face.pass(Duration.ofMillis(5020));
    assertEquals(1, face.heardAll("beat").size());
    face.pass(Duration.ofMillis(1));
    face.measure(1);
    assertEquals(List.of(), face.heard());
    face.send(9, 0, 8);
    assertEquals("302", code(face.heard("error")), "readings only after the next hello");
    face.open(0, 8);
    assertEquals(1, face.heardAll("reading").size());
  }

  @Test
  @DisplayName("L-28b: a line with a syntax fault is a sign of life, a damaged one is not")
  void aSyntaxFaultIsASignOfLife() {
    face.open(0, 8);
    face.heard();
    face.passBeats(2);
    face.sayChecked(">beat a");
    face.passBeats(2);
    face.sayText(">beat*0000\n");
    assertEquals(1, face.heardAll("beat").size());
    face.passBeats(0.6);
    assertEquals(List.of(), face.heard());
  }

  @Test
  @DisplayName(
      "L-9b, L-30: an escape that is none is a syntax fault, answered with 101, not counted")
  void aBadEscapeIsASyntaxFault() {
    face.open(0, 8);
    face.heard();
    face.sayChecked(">channels req=7 x=%4");
    Line error = face.heard("error");
    assertEquals("101 7", code(error) + " " + error.fields().get("req"));
    face.passBeats(1);
    assertEquals(Optional.empty(), face.heard("beat").text("damaged"), "L-8b");
  }

  @Test
  @DisplayName("L-6a, L-31a: an error quotes at most 64 characters, however they are escaped")
  void anErrorIsNeverTooLong() {
    for (String faulty : List.of("%".repeat(180), "=".repeat(180), "x".repeat(180))) {
      face.sayChecked(">channels req=123456789 " + faulty);
      Line error = face.heard("error");
      assertEquals("101", code(error));
      assertTrue(error.fields().get("text").length() <= 64, error.toString());
    }
  }

  @Test
  @DisplayName("L-16a: req is an id and is repeated as it came; it has 1 to 9 digits")
  void requestsAreIds() {
    face.sayChecked(">channels req=000000007");
    assertEquals("000000007", face.heardAll("channel").get(0).fields().get("req"));
    for (String bad : List.of("", "1234567890", "+1", "-1", "1.0", "a")) {
      face.sayChecked(">channels req=" + bad);
      assertEquals(List.of(), face.heard(), "L-30c: " + bad);
    }
  }

  @Test
  @DisplayName("L-16b, L-30c, L-32a: what is never answered")
  void whatIsNeverAnswered() {
    for (String line : List.of(">frobnicate", ">ack req=1", ">beat req=1", ">ack req=1 x")) {
      face.sayChecked(line);
      assertEquals(List.of(), face.heard(), line);
    }
    face.sayChecked(">frobnicate req=3");
    assertEquals("201", code(face.heard("error")), "L-30b");
  }

  @Test
  @DisplayName("L-16e: the same req with other content is a new request")
  void otherContentIsANewRequest() {
    face.measure(4);
    face.open(0, 1);
    face.heard();
    face.send(3, 2, 1);
    List<Line> lines = face.heard();
    assertEquals("3 4", told(lines.get(0)));
    assertEquals("3", lines.get(1).fields().get("seq"));
  }

  @Test
  @DisplayName("L-37, L-18: a hello ends the session before, even one that is refused")
  void aHelloEndsTheSessionBefore() {
    face.open(0, 8);
    face.heard();
    hello("77", "1.1");
    face.measure(1);
    assertEquals(List.of("hello"), face.heard().stream().map(Line::kind).toList());
    face.send(78, 0, 8);
    assertEquals(2, face.heard().size());
    hello("79", "2.0");
    face.measure(1);
    assertEquals("301", code(face.heard("error")));
    face.passBeats(1);
    assertEquals(List.of(), face.heard(), "no session, no beats");
  }

  @Test
  @DisplayName("Section 8: whole numbers have no sign, no leading zero, at most 18 digits")
  void wholeNumbers() {
    face.measure(2);
    face.open(0, 8);
    face.heard();
    int req = 10;
    for (String bad : List.of("00", "01", "+1", "-0", "1.0", "", "1234567890123456789")) {
      face.sayChecked(">send req=" + req++ + " boot=boot-1 credit=8 after=" + bad);
      assertEquals("202", code(face.heard("error")), "after=" + bad);
      face.sayChecked(">ack boot=boot-1 credit=8 seq=" + bad);
    }
    face.sayChecked(">ack boot=boot-1 credit=08 seq=2");
    face.passBeats(1);
    assertEquals("2", face.heard("beat").fields().get("held"), "L-23d: all were ignored");
    for (String bad : List.of("01.1", "1", "1.", "1.01", "+1.1", "1.1.1", "2", "1.%20", "x.y")) {
      hello("" + req++, bad);
      assertEquals("202", code(face.heard("error")), "version=" + bad);
    }
  }

  @Test
  @DisplayName("L-31c: control characters in what is shown to people are visible")
  void remarksHaveNoControlCharacters() {
    face.sayChecked(">ack boot=a%1B%5B2J%0A seq=1 credit=8");
    String remark = face.remarks.toString();
    assertTrue(remark.contains("%1B[2J%0A"), remark);
    assertFalse(remark.chars().anyMatch(Character::isISOControl), remark);
  }

  @Test
  @DisplayName("L-17a: every channel has a range, and resolution where it has one")
  void channelsSayTheirRanges() {
    face.say(new Line('>', "channels").with("req", 2));
    List<Line> lines = face.heardAll("channel");
    assertEquals(
        List.of("2", "3", "4", "8"),
        lines.stream()
            .filter(line -> line.text("resolution").isPresent())
            .map(line -> line.fields().get("ch"))
            .toList());
    for (Line line : lines) {
      BigDecimal least = decimal(line, "min");
      BigDecimal most = decimal(line, "max");
      assertTrue(least.compareTo(most) < 0, line.toString());
      line.text("resolution").ifPresent(step -> assertTrue(step.matches(DECIMAL), step));
    }
  }

  private static BigDecimal decimal(Line line, String key) {
    String value = line.fields().get(key);
    assertTrue(value.matches(DECIMAL), value);
    return new BigDecimal(value);
  }
}
