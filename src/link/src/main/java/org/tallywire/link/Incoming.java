package org.tallywire.link;

import java.time.Duration;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;

/**
 * Bytes that one thread brings and another takes; it holds so many and then makes the bringer wait.
 */
final class Incoming {

  private final byte[] ring;
  private int first;
  private int count;
  private boolean closed;
  private @Nullable String end;

  Incoming(int size) {
    ring = new byte[size];
  }

  /** Puts them in, waiting for room; returns false if nobody takes any more. */
  synchronized boolean put(byte[] bytes, int length) throws InterruptedException {
    for (int i = 0; i < length; i++) {
      while (count == ring.length && !closed) {
        wait();
      }
      if (closed) {
        return false;
      }
      ring[(first + count) % ring.length] = bytes[i];
      count++;
      if (count == 1) {
        notifyAll();
      }
    }
    return true;
  }

  /** Takes what is there, waiting for the first byte; returns how many, 0 if the time ran out. */
  synchronized int take(byte[] into, Duration limit) throws InterruptedException {
    long deadline = System.nanoTime() + limit.toNanos();
    while (count == 0 && !closed && end == null) {
      long left = deadline - System.nanoTime();
      if (left <= 0) {
        return 0;
      }
      TimeUnit.NANOSECONDS.timedWait(this, left);
    }
    int taken = Math.min(count, into.length);
    for (int i = 0; i < taken; i++) {
      into[i] = ring[first];
      first = (first + 1) % ring.length;
    }
    count -= taken;
    notifyAll();
    return taken;
  }

  /** Waits so long at most for the first byte, or for the end; takes nothing. */
  synchronized void await(Duration limit) throws InterruptedException {
    long deadline = System.nanoTime() + limit.toNanos();
    long left = limit.toNanos();
    while (count == 0 && !closed && end == null && left > 0) {
      TimeUnit.NANOSECONDS.timedWait(this, left);
      left = deadline - System.nanoTime();
    }
  }

  /** Says that no more come, and why; what is there may still be taken. */
  synchronized void end(String why) {
    if (end == null) {
      end = why;
    }
    notifyAll();
  }

  /** Returns why no more come, once all is taken; null as long as there may be more. */
  synchronized @Nullable String ended() {
    return count == 0 ? end : null;
  }

  /** Says that nobody takes any more. */
  synchronized void close() {
    closed = true;
    notifyAll();
  }

  synchronized boolean isClosed() {
    return closed;
  }
}
