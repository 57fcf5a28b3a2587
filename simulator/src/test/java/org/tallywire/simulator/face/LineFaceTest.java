package org.tallywire.simulator.face;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.time.Duration;
import java.util.List;
import org.junit.jupiter.api.Test;

/** The instrument's side of a session: L-12 to L-30. */
class LineFaceTest {

  private final FaceUnderTest face = new FaceUnderTest(new Store(500));

  private static String code(Line error) {
    return error.fields().get("code");
  }

  private List<Long> readings() {
    return FaceUnderTest.numbers(face.heardAll("reading"), "seq");
  }

  @Test
  void startIsSaidOnceAndNothingElseUnasked() { // L-15, L-18
    face.face.powerUp(0);
    face.measure(3);
    assertEquals(FaceUnderTest.BOOT, face.heard("start").fields().get("boot"));
    face.pass(Duration.ofHours(1));
    assertEquals(List.of(), face.heard());
    assertFalse(face.face.asked());
  }

  @Test
  void channelsCountUpAndHaveBothUnitsOfResistance() { // L-17
    face.say(new Line('>', "channels").with("req", 2));
    List<Line> lines = face.heardAll("channel");
    assertEquals(List.of(1L, 2L, 3L, 4L, 5L, 6L, 7L, 8L), FaceUnderTest.numbers(lines, "n"));
    assertTrue(lines.stream().allMatch(line -> "8".equals(line.fields().get("of"))));
    assertEquals(
        List.of("Ohm", "mOhm"),
        lines.stream()
            .filter(line -> "winding-resistance".equals(line.fields().get("quantity")))
            .map(line -> line.fields().get("unit"))
            .toList());
  }

  @Test
  void readingsKeepWithinTheCreditAndGoOnAfterAcknowledgement() { // L-19, L-23
    face.measure(20);
    face.open(0, 8);
    assertEquals(List.of(1L, 2L, 3L, 4L, 5L, 6L, 7L, 8L), readings());
    assertEquals(List.of(), readings());
    face.ack(3, 8);
    assertEquals(List.of(9L, 10L, 11L), readings());
    face.ack(11, 2);
    assertEquals(List.of(12L, 13L), readings());
  }

  @Test
  void unacknowledgedReadingsComeAgainAfterThreeBeatsByteForByte() { // L-24
    face.measure(3);
    face.open(0, 8);
    List<Line> first = face.heardAll("reading");
    for (int beat = 0; beat < 3; beat++) {
      face.passBeats(1);
      face.beat();
      assertEquals(List.of(), face.heardAll("reading"), "after " + (beat + 1) + " beats");
    }
    face.pass(Duration.ofMillis(1));
    List<Line> again = face.heardAll("reading");
    assertEquals(3, again.size());
    for (int i = 0; i < again.size(); i++) {
      assertEquals("1", again.get(i).fields().get("resent"));
      Line without = new Line('!', "reading", again.get(i).fields());
      without.fields().remove("resent");
      assertEquals(first.get(i), without);
    }
  }

  @Test
  void anAcknowledgementPutsTheRepeatOff() { // L-24
    face.measure(2);
    face.open(0, 8);
    assertEquals(List.of(1L, 2L), readings());
    face.passBeats(2);
    face.ack(1, 8);
    face.passBeats(2);
    face.beat();
    assertEquals(List.of(), readings());
    face.passBeats(1.1);
    assertEquals(List.of(2L), readings());
  }

  @Test
  void eachSendRepeatsWhatIsUnacknowledged() { // L-24, L-27
    face.measure(5);
    face.open(0, 8);
    assertEquals(List.of(1L, 2L, 3L, 4L, 5L), readings());
    face.ack(2, 8);
    face.send(4, 2, 8);
    List<Line> again = face.heardAll("reading");
    assertEquals(List.of(3L, 4L, 5L), FaceUnderTest.numbers(again, "seq"));
    assertTrue(again.stream().allMatch(line -> "1".equals(line.fields().get("resent"))));
    face.send(5, 4, 8);
    assertEquals(List.of(5L), readings());
  }

  @Test
  void theSameSendAgainIsAnsweredAgainAndSendsAgain() { // L-16d
    face.measure(2);
    face.open(0, 8);
    List<Line> once = face.heard();
    assertEquals(4, once.size(), "hello, ok and two readings");
    face.send(3, 0, 8);
    List<Line> again = face.heard();
    assertEquals(once.get(1), again.get(0));
    assertEquals(List.of(1L, 2L), FaceUnderTest.numbers(again.subList(1, 3), "seq"));
    assertTrue(
        again.subList(1, 3).stream().allMatch(line -> "1".equals(line.text("resent").get())));
    assertEquals(3, again.size());
  }

  @Test
  void aFullStoreDropsTheOldestAndSaysSo() { // L-26
    FaceUnderTest small = new FaceUnderTest(new Store(5));
    small.measure(12);
    small.open(0, 8);
    List<Line> lines = small.heard();
    Line lost = lines.get(2);
    assertEquals("lost", lost.kind());
    assertEquals("1 7", lost.fields().get("from") + " " + lost.fields().get("to"));
    assertEquals(
        List.of(8L, 9L, 10L, 11L, 12L),
        FaceUnderTest.numbers(lines.subList(3, lines.size()), "seq"));
    small.ack(7, 8);
    small.passBeats(1);
    Line beat = small.heard("beat");
    assertEquals("12 5", beat.fields().get("last") + " " + beat.fields().get("held"));
    small.ack(12, 8);
    small.measure(1);
    assertEquals("13", small.heard("reading").fields().get("seq"));
  }

  @Test
  void beatsRunFromTheAnsweredHelloOnAndStopWhenTheBridgeIsSilent() { // L-28
    face.open(0, 8);
    face.heard();
    for (int beat = 0; beat < 4; beat++) {
      face.passBeats(1);
      assertEquals(1, face.heardAll("beat").size());
      face.beat();
    }
    face.passBeats(1);
    assertEquals(1, face.heardAll("beat").size());
    face.passBeats(1);
    assertEquals(1, face.heardAll("beat").size());
    face.passBeats(1);
    face.measure(1);
    assertEquals(List.of(), face.heard(), "3 beats of silence: the link is down");
    assertTrue(face.remarks.toString().contains("2.5 beats"), face.remarks.toString());
    face.open(0, 8);
    assertEquals("1", face.heard("reading").fields().get("seq"));
  }

  @Test
  void errorsSayWhoseMatterItIs() { // L-30, L-12, L-19
    face.say(new Line('>', "frobnicate").with("req", 9));
    assertEquals("201", code(face.heard("error")));
    face.say(new Line('>', "hello").with("req", 10).with("version", "2.0"));
    assertEquals("301", code(face.heard("error")));
    face.say(new Line('>', "hello").with("req", 11));
    assertEquals("202", code(face.heard("error")));
    face.open(0, 8);
    face.heard();
    face.say(
        new Line('>', "send")
            .with("req", 12)
            .with("boot", "another")
            .with("after", 0)
            .with("credit", 8));
    assertEquals("302", code(face.heard("error")));
    for (int credit : List.of(0, 65)) {
      face.send(20 + credit, 0, credit);
      assertEquals("202", code(face.heard("error")));
    }
    face.send(13, 1, 8);
    assertEquals("202", code(face.heard("error")), "after beyond the last reading");
    face.sayChecked(">hello req=14 a=1 a=2");
    assertEquals("101", code(face.heard("error")));
  }

  @Test
  void aHigherMinorVersionAndUnknownFieldsAreAccepted() { // L-12
    face.say(new Line('>', "hello").with("req", 1).with("version", "1.7").with("colour", "red"));
    assertEquals("1.1", face.heard("hello").fields().get("version"));
  }

  @Test
  void damagedLinesAndForeignAcknowledgementsChangeNothing() { // L-8, L-23
    face.measure(2);
    face.open(0, 8);
    face.heard();
    face.sayText(">ack boot=boot-1 seq=2 credit=8*0000\n");
    face.say(new Line('>', "ack").with("boot", "other").with("seq", 2).with("credit", 8));
    face.say(
        new Line('>', "ack").with("boot", FaceUnderTest.BOOT).with("seq", 3).with("credit", 8));
    face.say(new Line('>', "ack").with("boot", FaceUnderTest.BOOT).with("seq", 2));
    face.sayText(">" + "x".repeat(1000) + "\n");
    face.passBeats(1);
    Line beat = face.heard("beat");
    assertEquals("2", beat.fields().get("held"));
    assertEquals("2", beat.fields().get("damaged"), "L-8b: what was discarded is told");
  }
}
