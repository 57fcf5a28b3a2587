package org.tallywire.kit;

import java.lang.management.ManagementFactory;
import java.lang.management.ThreadMXBean;
import java.time.Duration;

/**
 * Measures the processor time of a driver's calls, also of one that does not come back. The calls
 * are made by one thread; another may ask.
 */
final class CallWatch {

  static final Duration LONGEST = Duration.ofSeconds(1);

  private static final ThreadMXBean THREADS = ManagementFactory.getThreadMXBean();
  private static final int LOOKS = 10; // a thread found waiting so often in one call does wait

  private volatile long begun;
  private volatile String call = "";
  private long calls;
  private long looked = -1;
  private int waits;

  /** Takes note that a call begins. */
  void begin(String what) {
    synchronized (this) {
      calls++;
    }
    begun = THREADS.getCurrentThreadCpuTime();
    call = what;
  }

  /** Returns what the call took, in nanoseconds of processor time. */
  long end() {
    call = "";
    return THREADS.getCurrentThreadCpuTime() - begun;
  }

  /** Returns, for another thread, a sentence on the call under way if it will not come back. */
  String hopeless(Thread caller) {
    String now = call;
    if (now.isEmpty()) {
      return "";
    }
    long spent = THREADS.getThreadCpuTime(caller.getId()) - begun;
    if (spent > LONGEST.multipliedBy(2).toNanos()) {
      return "%s has not come back after %d s of processor time"
          .formatted(now, Duration.ofNanos(spent).toSeconds());
    }
    return waits(caller)
        ? "%s waits by itself; it says by nextTick when it is due, and returns".formatted(now)
        : "";
  }

  private synchronized boolean waits(Thread caller) {
    Thread.State state = caller.getState();
    boolean waiting = state == Thread.State.WAITING || state == Thread.State.TIMED_WAITING;
    waits = waiting && looked == calls ? waits + 1 : 0;
    looked = calls;
    return waits >= LOOKS;
  }
}
