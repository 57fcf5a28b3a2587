package org.tallywire.fault;

import java.nio.file.Path;
import java.util.Random;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.io.TempDir;

/** The bridge is killed, alone and together with the broker, at moments drawn by lot. */
class KillIT {

  /** Some 25 readings a second, and at each start all that piled up meanwhile. */
  private static final int INSTRUMENTS = 4;

  /** Slower, the resistances are so slow that a recovery would wait for the next reading. */
  private static final double PACE = 10;

  /** Over many cycles as many have to get through as are taken, or the stores get full. */
  private static final int MOST_BETWEEN_KILLS = Fault.isLarge() ? 250 : 50;

  /** A bridge needs about so long to be at work; kills fall into that time too. */
  private static final int START_MILLIS = 3000;

  @TempDir private Path folder;

  @Test
  @DisplayName("Killed (kill -9) under load: every reading once, in order, at the listener too")
  void kill() throws Exception {
    Fault fault = Fault.of("kill", 3, 200);
    Random random = fault.random();
    try (Rig rig = Rig.start(folder, INSTRUMENTS, PACE)) {
      quicken(rig);
      for (int cycle = 0; cycle < fault.cycles(); cycle++) {
        kill(rig, random, cycle);
      }
      rig.judgeAtTheEnd(fault, fault.cycles(), "");
    }
  }

  @Test
  @DisplayName("Bridge and broker killed together, the broker back empty: the same")
  void together() throws Exception {
    Fault fault = Fault.of("kill-both", 1, 50);
    Random random = fault.random();
    try (Rig rig = Rig.start(folder, INSTRUMENTS, PACE)) {
      quicken(rig);
      for (int cycle = 0; cycle < fault.cycles(); cycle++) {
        rig.awaitReadings(1 + random.nextInt(MOST_BETWEEN_KILLS));
        boolean bridgeFirst = random.nextBoolean();
        if (bridgeFirst) {
          rig.bridge().kill();
        }
        rig.restartBroker(random.nextInt(300));
        if (!bridgeFirst) {
          rig.bridge().kill();
        }
        long end = System.nanoTime();
        rig.bridge().start();
        rig.recover(end);
      }
      rig.judgeAtTheEnd(fault, fault.cycles(), "");
    }
  }

  /** A few starts are done before such a one would be. */
  private static void quicken(Rig rig) throws Exception {
    if (Fault.isLarge()) {
      rig.bridge().stop();
      rig.bridge().quicken();
      rig.bridge().start();
    }
  }

  /** Every fourth time it is killed while it starts; every other start opens new test sets. */
  private static void kill(Rig rig, Random random, int cycle) throws Exception {
    boolean atStart = cycle % 4 == 3;
    if (atStart) {
      Pause.millis(random.nextInt(START_MILLIS));
    } else {
      rig.awaitReadings(1 + random.nextInt(MOST_BETWEEN_KILLS));
      Pause.millis(random.nextInt(20));
    }
    rig.bridge().kill();
    long end = System.nanoTime();
    if (cycle % 2 == 0) {
      rig.openTestSets(cycle);
    }
    rig.bridge().start();
    if (cycle % 4 != 2) {
      rig.recover(end);
    }
  }
}
