package org.tallywire.journal;

import java.time.Duration;
import java.util.concurrent.locks.Condition;
import java.util.concurrent.locks.ReentrantLock;

/** The last committed position, and the place to wait for the next. */
final class Head {

  private final ReentrantLock lock = new ReentrantLock();
  private final Condition moved = lock.newCondition();
  private volatile long position;
  private boolean ended;

  long get() {
    return position;
  }

  void set(long committed) {
    lock.lock();
    try {
      position = committed;
      moved.signalAll();
    } finally {
      lock.unlock();
    }
  }

  /** Lets everybody go who waits. */
  void end() {
    lock.lock();
    try {
      ended = true;
      moved.signalAll();
    } finally {
      lock.unlock();
    }
  }

  boolean awaitBeyond(long known, Duration wait) throws InterruptedException {
    long left = wait.toNanos();
    lock.lockInterruptibly();
    try {
      while (position <= known && !ended && left > 0) {
        left = moved.awaitNanos(left);
      }
      return position > known;
    } finally {
      lock.unlock();
    }
  }
}
