package org.tallywire.link;

import java.time.Duration;
import java.util.concurrent.atomic.AtomicInteger;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;

/**
 * Closes on a thread of its own, because a close can hang in the system or in a library. What is
 * not done in time is left behind and counted, and the process goes on without it.
 */
final class BoundedClose {

  private static final Logger log = LoggerFactory.getLogger(BoundedClose.class);
  private static final AtomicInteger LEFT_BEHIND = new AtomicInteger();

  private BoundedClose() {}

  /** Returns how many closes have not ended yet though their time is over. */
  static int leftBehind() {
    return LEFT_BEHIND.get();
  }

  /** Runs a close; returns when it is done or its time is over. */
  static void run(String name, Duration limit, Runnable close) {
    Object turn = new Object();
    boolean[] done = new boolean[1];
    boolean[] late = new boolean[1];
    Thread closer =
        new Thread(
            () -> {
              try {
                close.run();
              } finally {
                synchronized (turn) {
                  done[0] = true;
                  if (late[0]) {
                    log.info(
                        "closing {}: done at last; left behind now: {}",
                        name,
                        LEFT_BEHIND.decrementAndGet());
                  }
                }
              }
            },
            "close " + name);
    closer.setDaemon(true);
    closer.start();
    try {
      closer.join(limit.toMillis());
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
    synchronized (turn) {
      if (!done[0]) {
        late[0] = true;
        log.warn(
            "closing {}: not done within {} ms; left behind, as the {}. of this kind. Until it ends"
                + " this port cannot be opened again: unplug its adapter, or start the bridge anew",
            name,
            limit.toMillis(),
            LEFT_BEHIND.incrementAndGet());
      }
    }
  }
}
