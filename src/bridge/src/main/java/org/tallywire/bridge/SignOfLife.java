package org.tallywire.bridge;

import java.time.Duration;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;

/** Lets the bridge say that it is alive, whatever else waits. One thread, "state". */
final class SignOfLife implements AutoCloseable {

  private static final Duration BEAT = Duration.ofSeconds(1);
  private static final Duration CLOSE_LIMIT = Duration.ofSeconds(2);

  private final StateBoard board;
  private final CountDownLatch closing = new CountDownLatch(1);
  private final Thread thread = new Thread(this::run, "state");

  SignOfLife(StateBoard board) {
    this.board = board;
    thread.setDaemon(true);
  }

  void start() {
    thread.start();
  }

  private void run() {
    try {
      while (!closing.await(BEAT.toMillis(), TimeUnit.MILLISECONDS)) {
        board.refresh();
      }
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }

  @Override
  public void close() {
    closing.countDown();
    try {
      thread.join(CLOSE_LIMIT.toMillis());
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }
}
