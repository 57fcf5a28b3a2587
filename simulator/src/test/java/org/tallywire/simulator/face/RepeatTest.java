package org.tallywire.simulator.face;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.List;
import java.util.Optional;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;

/** When readings are sent again without being asked for, and from where on: L-24. */
class RepeatTest {

  private final FaceUnderTest face = new FaceUnderTest(new Store(8));

  @Test
  @DisplayName("L-24b: after three beats also what is at or below after, as long as it is held")
  void whatIsAtOrBelowAfterComesAgainToo() {
    face.open(0, 8);
    face.measure(3);
    assertEquals(List.of(1L, 2L, 3L), FaceUnderTest.numbers(face.heardAll("reading"), "seq"));
    face.send(4, 3, 8);
    assertEquals(List.of(), face.heardAll("reading"), "nothing beyond 3");
    face.passBeats(2);
    face.beat();
    face.passBeats(1);
    assertEquals(List.of(), face.heardAll("reading"));
    face.passBeats(0.1);
    List<Line> again = face.heardAll("reading");
    assertEquals(List.of(1L, 2L, 3L), FaceUnderTest.numbers(again, "seq"));
    assertTrue(again.stream().allMatch(line -> line.text("resent").isPresent()), "L-24c");
    face.ack(1, 1);
    face.passBeats(2);
    face.beat();
    face.passBeats(1.1);
    assertEquals(
        List.of(2L),
        FaceUnderTest.numbers(face.heardAll("reading"), "seq"),
        "the credit counts from the repeat on");
    face.ack(2, 1);
    assertEquals(
        List.of(3L),
        FaceUnderTest.numbers(face.heardAll("reading"), "seq"),
        "an acknowledgement below after skips nothing");
  }

  @Test
  @DisplayName("L-24c: what was passed over and never sent is no repeat when it comes")
  void whatWasNeverSentIsNoRepeat() {
    face.measure(3);
    face.open(2, 8);
    assertEquals("3", face.heard("reading").fields().get("seq"));
    face.passBeats(2);
    face.beat();
    face.passBeats(1.1);
    List<Line> lines = face.heardAll("reading");
    assertEquals(List.of(1L, 2L, 3L), FaceUnderTest.numbers(lines, "seq"));
    assertEquals(
        List.of(false, false, true),
        lines.stream().map(line -> line.text("resent").isPresent()).toList());
  }

  @Test
  @DisplayName("L-24b: the three beats begin with the first reading held")
  void theThreeBeatsBeginWithTheFirstReadingHeld() {
    face.open(0, 1);
    for (int i = 0; i < 5; i++) {
      face.heard();
      face.passBeats(1);
      face.beat();
    }
    face.measure(1);
    assertEquals(Optional.empty(), face.heard("reading").text("resent"));
    face.measure(1);
    face.passBeats(1);
    face.beat();
    assertEquals(List.of(), face.heardAll("reading"), "sent once, then quiet for three beats");
  }

  @Test
  @DisplayName("L-24b: each reading sent puts the repeat off, not only the first")
  void readingsPutTheRepeatOff() {
    face.open(0, 8);
    face.measure(1);
    assertEquals(1, face.heardAll("reading").size());
    face.passBeats(2);
    face.beat();
    face.measure(1);
    assertEquals(List.of(2L), FaceUnderTest.numbers(face.heardAll("reading"), "seq"));
    face.passBeats(2);
    face.beat();
    assertEquals(List.of(), face.heardAll("reading"), "4 beats after the first, 2 after the last");
    face.passBeats(1.1);
    assertEquals(List.of(1L, 2L), FaceUnderTest.numbers(face.heardAll("reading"), "seq"));
  }
}
