package org.tallywire.fault;

import java.util.concurrent.locks.LockSupport;

/** Lets time pass where a fault is to last so long; nothing is waited for by it. */
final class Pause {

  private Pause() {}

  static void millis(long millis) {
    long end = System.nanoTime() + millis * 1_000_000;
    for (long left = end - System.nanoTime(); left > 0; left = end - System.nanoTime()) {
      LockSupport.parkNanos(left);
    }
  }
}
