package org.tallywire.simulator.wire;

import static org.junit.jupiter.api.Assertions.assertArrayEquals;
import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.tallywire.simulator.wire.TroubledLine.always;
import static org.tallywire.simulator.wire.TroubledLine.between;

import java.io.IOException;
import java.util.Arrays;
import java.util.List;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.tallywire.simulator.scenario.LineFault.Duplicates;
import org.tallywire.simulator.scenario.LineFault.Freeze;
import org.tallywire.simulator.scenario.LineFault.LineNoise;
import org.tallywire.simulator.scenario.LineFault.Unplug;

/** A line that stands still and a cable that is pulled, moment by moment. */
class FreezeAndUnplugTest {

  private static final byte[] REQUEST = {'?'};

  @Test
  void aFrozenLineKeepsTheOrder() throws IOException {
    TroubledLine line = new TroubledLine(1, between(new Freeze(), 100, 200));
    line.at(99).say("1").at(100).say("2");
    assertArrayEquals(new byte[0], line.hear(REQUEST));
    line.at(199).say("3").listen();
    assertTrue(line.wire.attached(), "the instrument goes on talking");
    assertEquals(List.of("1"), line.events());
    assertEquals(0, line.below.reads, "nothing is heard");
    line.at(200).say("4");
    assertArrayEquals(REQUEST, line.listen(), "it waited at the other side of the line");
    line.say("5");
    assertEquals("12345", String.join("", line.events()));
    assertEquals(List.of("its line: freeze", "its line, freeze: over"), line.remarks);
  }

  @Test
  void beforeMeasuringBeginsNothingFreezesAndNothingIsRemarked() throws IOException {
    TroubledLine line = new TroubledLine(1, between(new Freeze(), 0, 100)).at(0).say("1");
    assertArrayEquals(REQUEST, line.hear(REQUEST));
    assertEquals(List.of("1"), line.events());
    assertEquals(List.of(), line.remarks);
    line.at(1).say("2");
    assertEquals(List.of("1"), line.events());
    assertEquals(List.of("its line: freeze"), line.remarks);
  }

  @Test
  void aFrozenLineKeepsSoMuchAndTheOldestAreLost() throws IOException {
    byte[] all = new byte[70_000];
    new Random(2).nextBytes(all);
    TroubledLine line = new TroubledLine(1, between(new Freeze(), 100, 200)).at(100);
    for (int from = 0; from < all.length; from += 700) {
      line.say(Arrays.copyOfRange(all, from, from + 700));
    }
    line.at(200);
    for (int i = 0; i < 128; i++) {
      line.hear(REQUEST); // 512 bytes go out at each
    }
    assertArrayEquals(
        Arrays.copyOfRange(all, 70_000 - 65_536, 70_000), line.below.written.toByteArray());
    assertEquals(
        1, line.remarks.stream().filter(words -> words.contains("the oldest are lost")).count());
    line.say("later");
    assertEquals("later", line.events().get(128));
  }

  @Test
  void nothingFreezesOrIsPulledBeforeBenchTimePasses() throws IOException {
    TroubledLine line =
        new TroubledLine(1, between(new Freeze(), 0, 10), between(new Unplug(), 0, 10)).at(0);
    line.say("asked?");
    assertArrayEquals(REQUEST, line.hear(REQUEST));
    assertEquals(List.of("asked?"), line.events());
    line.at(1).say("frozen");
    assertEquals(List.of("asked?"), line.events());
  }

  @Test
  void theCableIsPulledInTheMiddleOfAWriteAndComesBack() throws IOException {
    TroubledLine line = new TroubledLine(1, between(new Unplug(), 1000, 3000));
    line.at(999).say("before").at(1000).listen();
    assertTrue(line.wire.attached(), "it waits for a write");
    line.at(1100).say("123456789");
    assertEquals(List.of("before", "1234", "out"), line.events());
    assertFalse(line.wire.attached());
    line.say("lost").at(2999).listen();
    assertEquals(List.of(), line.ready, "the first time is for who plugs it in to tell");
    line.at(3000).listen();
    assertEquals(List.of("memory 2"), line.ready);
    assertTrue(line.wire.attached());
    line.say("after").at(9000).say("and on");
    assertEquals(List.of("before", "1234", "out", "in", "after", "and on"), line.events());
    assertEquals(List.of("its cable is pulled out", "its cable is in again"), line.remarks);
  }

  @Test
  void withoutAnEndItStaysOutForTwoSecondsOfBenchTime() throws IOException {
    TroubledLine line = new TroubledLine(1, always(new Unplug()));
    line.at(500).say("1234").at(2499).listen();
    assertEquals(List.of("12", "out"), line.events());
    line.at(2500).listen();
    line.at(10_000).say("5678");
    assertEquals(List.of("12", "out", "in", "5678"), line.events());
  }

  @Test
  void whereNothingIsWrittenItIsPulledInTheSecondHalfOfItsTime() throws IOException {
    TroubledLine line = new TroubledLine(1, between(new Unplug(), 1000, 3000));
    line.at(1999).listen();
    assertEquals(List.of(), line.events());
    line.at(2000).listen();
    assertEquals(List.of("out"), line.events());
    line.at(3000).listen();
    assertEquals(List.of("out", "in"), line.events());
  }

  @Test
  void atAHighPaceItIsNotMissedThoughItsTimePassedBetweenTwoLooks() throws IOException {
    TroubledLine line = new TroubledLine(1, between(new Unplug(), 1000, 1010));
    line.at(900).listen();
    line.at(1100).say("1234");
    assertEquals(List.of("12", "out"), line.events());
    line.at(1200).listen();
    assertEquals(List.of("12", "out", "in"), line.events());
    line.faults.plant(between(new Unplug(), 1000, 1050));
    line.at(1300).say("1234").listen();
    assertEquals(3 + 1, line.events().size(), "one planted when its time is over does nothing");
  }

  @Test
  void eachUnplugPullsOnceAndTakingItAwayPlugsInAtOnce() throws IOException {
    TroubledLine line =
        new TroubledLine(1, between(new Unplug(), 10, 20), between(new Unplug(), 30, 9000));
    line.at(10).say("ab").at(19).listen();
    line.at(20).say("cd").at(30).say("ef").at(40).listen();
    assertEquals(List.of("a", "out", "in", "cd", "e", "out"), line.events());
    assertEquals(2, line.faults.clear("unplug"));
    line.at(41).listen();
    assertEquals("in", line.events().get(6));
  }

  @Test
  void whereItCannotBePluggedInAgainItIsTriedOnAndOn() throws IOException {
    TroubledLine line = new TroubledLine(1, between(new Unplug(), 10, 20));
    line.at(10).say("ab");
    line.below.failingPlugIns = 3;
    for (int i = 0; i < 3; i++) {
      line.at(20 + i).listen();
      assertFalse(line.wire.attached());
    }
    line.at(30).listen();
    assertTrue(line.wire.attached());
    assertEquals(
        List.of(
            "its cable is pulled out",
            "its cable cannot be plugged in again, and that is tried on and on: no hole for the"
                + " plug",
            "its cable is in again"),
        line.remarks);
  }

  @Test
  void noiseAndACopyDoNotMoveWhereTheCableIsPulled() throws IOException {
    TroubledLine line =
        new TroubledLine(
            1, always(new LineNoise(1)), always(new Duplicates(1)), between(new Unplug(), 5, 99));
    line.at(5).say("a line that is longer than noise");
    assertEquals(3, line.events().size());
    assertEquals(List.of("a line that is l", "out"), line.events().subList(1, 3));
  }

  @Test
  void whatWasKeptGoesWithTheCable() throws IOException {
    TroubledLine line =
        new TroubledLine(1, between(new Freeze(), 10, 100), between(new Unplug(), 20, 40));
    line.at(10).say("kept").at(25).say("too").at(30).listen();
    assertEquals(List.of("out"), line.events(), "frozen, so nothing leaves before");
    line.at(40).listen();
    line.at(100).say("new");
    assertEquals(List.of("out", "in", "new"), line.events());
  }
}
