package org.tallywire.bridge;

import java.io.IOException;
import java.nio.file.Path;
import java.time.Duration;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import java.util.stream.Collectors;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalException;
import org.tallywire.journal.Shelved;
import org.tallywire.publish.Publisher;

/**
 * Lets the bridge say that it is alive, whatever else waits, on the thread "state"; and looks
 * whether a replay has got rid of something that lay on the shelf, on the thread "shelf", since
 * that waits for the journal.
 */
final class SignOfLife implements AutoCloseable {

  private static final Duration BEAT = Duration.ofSeconds(1);
  private static final Duration CLOSE_LIMIT = Duration.ofSeconds(1);

  private static final Logger log = LoggerFactory.getLogger(SignOfLife.class);

  private final Path data;
  private final Journal journal;
  private final Optional<Publisher> publisher;
  private final CountDownLatch closing = new CountDownLatch(1);
  private final List<Thread> threads;

  SignOfLife(StateBoard board, Path data, Journal journal, Optional<Publisher> publisher) {
    this.data = data;
    this.journal = journal;
    this.publisher = publisher;
    threads = List.of(beating("state", board::refresh), beating("shelf", this::takeOffShelf));
  }

  void start() {
    threads.forEach(Thread::start);
  }

  private Thread beating(String name, Runnable task) {
    Thread thread = new Thread(() -> beat(name, task), name);
    thread.setDaemon(true);
    return thread;
  }

  private void beat(String name, Runnable task) {
    Throttle throttle = new Throttle();
    try {
      while (!closing.await(BEAT.toMillis(), TimeUnit.MILLISECONDS)) {
        try {
          task.run();
        } catch (RuntimeException e) {
          throttle
              .next()
              .ifPresent(
                  more -> log.error("thread {} goes on after a fault of ours{}", name, more, e));
        }
      }
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }

  private void takeOffShelf() {
    try {
      Set<Long> noted = Replayed.noted(data);
      if (noted.isEmpty()) {
        return;
      }
      Set<Long> lying = journal.shelf().stream().map(Shelved::position).collect(Collectors.toSet());
      for (long position : noted) {
        takeOff(position, lying);
      }
    } catch (IOException | JournalException e) {
      log.debug("what was replayed stays on the shelf for now: {}", e.getMessage());
    }
  }

  /** Takes an entry off; a note that cannot be deleted keeps none of the others waiting. */
  private void takeOff(long position, Set<Long> lying) throws JournalException {
    if (lying.contains(position)) {
      if (publisher.isEmpty()) {
        return; // the note waits for the next bridge that publishes
      }
      publisher.get().takeOffShelf(position);
    }
    try {
      Replayed.done(data, position);
    } catch (IOException e) {
      log.debug("the note of a replay of position {} stays: {}", position, e.toString());
    }
  }

  @Override
  public void close() {
    closing.countDown();
    try {
      for (Thread thread : threads) {
        thread.join(CLOSE_LIMIT.toMillis());
      }
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }
}
