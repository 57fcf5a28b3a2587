package org.tallywire.bridge;

import java.io.IOException;
import java.nio.file.Path;
import java.time.Duration;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.journal.JournalException;
import org.tallywire.publish.Publisher;

/**
 * Lets the bridge say that it is alive, whatever else waits, and looks whether a replay has got rid
 * of something that lay on the shelf. One thread, "state".
 */
final class SignOfLife implements AutoCloseable {

  private static final Duration BEAT = Duration.ofSeconds(1);
  private static final Duration CLOSE_LIMIT = Duration.ofSeconds(2);

  private static final Logger log = LoggerFactory.getLogger(SignOfLife.class);

  private final StateBoard board;
  private final Path data;
  private final Publisher publisher;
  private final CountDownLatch closing = new CountDownLatch(1);
  private final Thread thread = new Thread(this::run, "state");

  SignOfLife(StateBoard board, Path data, Publisher publisher) {
    this.board = board;
    this.data = data;
    this.publisher = publisher;
    thread.setDaemon(true);
  }

  void start() {
    thread.start();
  }

  private void run() {
    try {
      while (!closing.await(BEAT.toMillis(), TimeUnit.MILLISECONDS)) {
        board.refresh();
        takeOffShelf();
      }
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }

  private void takeOffShelf() {
    try {
      for (long position : Replayed.noted(data)) {
        publisher.takeOffShelf(position);
        Replayed.done(data, position);
      }
    } catch (IOException | JournalException e) {
      log.debug("what was replayed stays on the shelf for now: {}", e.getMessage());
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
