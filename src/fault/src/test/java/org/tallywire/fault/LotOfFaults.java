package org.tallywire.fault;

import java.io.IOException;
import java.util.Random;
import java.util.concurrent.TimeUnit;

/** Faults of lines and instruments, one after the other, each drawn by lot. */
final class LotOfFaults {

  /** A bridge waits so long, at most, before it tries a lost link again. */
  private static final long BACK_SECONDS = 10;

  private final Instruments instruments;
  private final int pace;
  private final Random random;

  /** By instrument, until when it may be down, as {@link System#nanoTime}; 0 before any fault. */
  private final long[] until;

  private int planted;

  /**
   * Faults of these instruments.
   *
   * @param pace of their bench time, in which faults last
   */
  LotOfFaults(Instruments instruments, int pace, Random random) {
    this.instruments = instruments;
    this.pace = pace;
    this.random = random;
    this.until = new long[instruments.count()];
  }

  /** Draws an instrument and plants a fault there, unless it still has the last one. */
  void next() throws IOException {
    int index = random.nextInt(instruments.count());
    int millis = 500 + random.nextInt(3500);
    int kind = random.nextInt(8);
    synchronized (this) {
      if (until[index] - System.nanoTime() > 0) {
        return;
      }
      if (until[index] != 0) {
        say(index, "clear all", "cleared");
      }
      until[index] =
          System.nanoTime()
              + TimeUnit.MILLISECONDS.toNanos(millis)
              + TimeUnit.SECONDS.toNanos(BACK_SECONDS);
    }
    planted++;
    plant(index, kind, "%d s".formatted(Math.max(1, millis * pace / 1000)));
  }

  private void plant(int index, int kind, String lasting) throws IOException {
    switch (kind) {
      case 0 -> say(index, "plant freeze for " + lasting, "planted");
      case 1 -> say(index, "plant unplug for " + lasting, "planted");
      case 2 -> say(index, "plant line noise: {share: 20 %} for " + lasting, "planted");
      case 3 -> say(index, "plant bit errors: {share: 0.02 %} for " + lasting, "planted");
      case 4 -> say(index, "plant lost bytes: {share: 0.2 %} for " + lasting, "planted");
      case 5 -> say(index, "plant duplicates: {share: 30 %} for " + lasting, "planted");
      case 6 -> say(index, "plant reboot: {lasts: " + lasting + "}", "planted");
      default -> {
        say(index, "plant store overflow: {holds: 2} for " + lasting, "planted");
        say(index, "plant freeze for " + lasting, "planted");
      }
    }
  }

  /** Returns how many faults were planted so far; for the thread that plants them. */
  int planted() {
    return planted;
  }

  /** Takes every fault away. */
  synchronized void end() throws IOException {
    for (int index = 0; index < until.length; index++) {
      if (until[index] != 0) {
        say(index, "clear all", "cleared");
      }
    }
  }

  /** Returns how many links may be down now. */
  synchronized int mayBeDown() {
    long now = System.nanoTime();
    int down = 0;
    for (long end : until) {
      down += end != 0 && end - now > 0 ? 1 : 0;
    }
    return down;
  }

  private void say(int index, String command, String answer) throws IOException {
    instruments.command(Instruments.serial(index) + " " + command, answer);
  }
}
