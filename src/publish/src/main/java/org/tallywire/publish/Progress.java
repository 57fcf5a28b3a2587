package org.tallywire.publish;

import java.time.Duration;
import java.util.concurrent.atomic.AtomicLong;
import java.util.concurrent.locks.Condition;
import java.util.concurrent.locks.ReentrantLock;

/** Counts what went out and came back, and lets others wait for it. */
final class Progress {

  final AtomicLong published = new AtomicLong();
  final AtomicLong acknowledged = new AtomicLong();
  final AtomicLong shelved = new AtomicLong();

  private final ReentrantLock lock = new ReentrantLock();
  private final Condition moved = lock.newCondition();
  private long delivered;
  private boolean ended;

  /** Notes that everything up to a position is acknowledged and the cursor is there. */
  void delivered(long position) {
    lock.lock();
    try {
      delivered = position;
      moved.signalAll();
    } finally {
      lock.unlock();
    }
  }

  /** Returns the position up to which everything is acknowledged. */
  long delivered() {
    lock.lock();
    try {
      return delivered;
    } finally {
      lock.unlock();
    }
  }

  /** Notes how many entries lie on the shelf. */
  void shelved(long count) {
    shelved.set(count);
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

  boolean awaitDelivered(long position, Duration wait) throws InterruptedException {
    long left = wait.toNanos();
    lock.lockInterruptibly();
    try {
      while (delivered < position && !ended && left > 0) {
        left = moved.awaitNanos(left);
      }
      return delivered >= position;
    } finally {
      lock.unlock();
    }
  }
}
