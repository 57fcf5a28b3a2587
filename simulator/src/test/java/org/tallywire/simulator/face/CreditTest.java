package org.tallywire.simulator.face;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.time.Duration;
import java.util.Random;
import java.util.TreeSet;
import org.junit.jupiter.api.Test;

/** L-19, L-24, L-26 under random use: the credit is never exceeded and no number is skipped. */
class CreditTest {

  private final long seed = System.nanoTime();
  private final Random random = new Random(seed);
  private final TreeSet<Long> unacknowledged = new TreeSet<>();
  private int credit;
  private long covered;
  private long latest;

  @Test
  void theCreditIsNeverExceededAndEveryNumberIsAccountedFor() {
    for (int round = 0; round < 25; round++) {
      Store store = new Store(1 + random.nextInt(20));
      FaceUnderTest face = new FaceUnderTest(store);
      turn();
      covered = 0;
      credit = 1 + random.nextInt(64);
      face.open(0, credit);
      for (int step = 0; step < 200; step++) {
        act(face, step);
        listen(face);
      }
      finish(face);
      assertEquals(store.last(), covered, "seed " + seed);
      assertEquals(0, store.held(), "seed " + seed);
    }
  }

  private void act(FaceUnderTest face, int step) {
    switch (random.nextInt(5)) {
      case 0 -> face.measure(random.nextInt(8));
      case 1 -> face.pass(Duration.ofMillis(random.nextInt(7000)));
      case 2 -> {
        credit = 1 + random.nextInt(64);
        turn();
        face.say(new Line('>', "hello").with("req", 1000 + 2 * step).with("version", "1.1"));
        face.send(1001 + 2 * step, covered, credit);
      }
      default -> acknowledge(face);
    }
    face.beat();
  }

  private void acknowledge(FaceUnderTest face) {
    if (!unacknowledged.isEmpty() && covered >= unacknowledged.first()) {
      credit = 1 + random.nextInt(64);
      face.ack(covered, credit);
      unacknowledged.headSet(covered, true).clear();
    }
  }

  private void listen(FaceUnderTest face) {
    for (var line = face.next(); line.isPresent(); line = face.next()) {
      boolean lost = line.get().kind().equals("lost");
      if (!lost && !line.get().kind().equals("reading")) {
        continue;
      }
      long last = Long.parseLong(line.get().fields().get(lost ? "to" : "seq"));
      long first = lost ? Long.parseLong(line.get().fields().get("from")) : last;
      assertTrue(
          first <= covered + 1,
          "%d came when %d was next, seed %d".formatted(first, covered + 1, seed));
      covered = Math.max(covered, last);
      if (first <= latest) {
        turn(); // L-19a: after three beats, the repeat counts anew
      }
      latest = last;
      unacknowledged.add(last);
      assertTrue(
          unacknowledged.size() <= credit,
          "%d unacknowledged, credit %d, seed %d".formatted(unacknowledged.size(), credit, seed));
    }
  }

  private void turn() {
    unacknowledged.clear();
    latest = 0;
  }

  private void finish(FaceUnderTest face) {
    turn();
    credit = 64;
    face.say(new Line('>', "hello").with("req", 1).with("version", "1.1"));
    face.send(2, covered, credit);
    listen(face);
    face.ack(covered, credit);
  }
}
