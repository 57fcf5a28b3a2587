package org.tallywire.journal;

import java.sql.Connection;
import java.sql.SQLException;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.LinkedBlockingQueue;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.atomic.AtomicLong;
import java.util.function.LongConsumer;
import org.jspecify.annotations.Nullable;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.api.TimeSource;

/**
 * Writes for everybody, on one thread: whatever waits goes into one transaction, and a waiter hears
 * of it only after the commit. A failed transaction fails the requests in it and costs the
 * connection; the next request finds a new one, opened and checked.
 */
final class JournalWriter {

  private static final Logger LOG = LoggerFactory.getLogger(JournalWriter.class);
  private static final int LARGEST_BATCH = 1_000;
  private static final int IDLE_SECONDS = 1;

  /** Something to do inside a transaction. */
  interface Work<T> {
    T run(WriteConnection connection) throws SQLException;
  }

  private record Request<T>(Work<T> work, CompletableFuture<T> done) {

    /** Does the work and returns what tells the waiter, to be run after the commit. */
    Runnable run(WriteConnection connection) throws SQLException {
      T result = work.run(connection);
      return () -> done.complete(result);
    }
  }

  private final Database database;
  private final TimeSource time;
  private final LongConsumer committed;
  private final BlockingQueue<Request<?>> waiting = new LinkedBlockingQueue<>();
  private final Thread thread = new Thread(this::run, "journal-writer");
  private final Object gate = new Object();

  private final AtomicLong commits = new AtomicLong();

  private boolean closing;
  private @Nullable WriteConnection connection;

  /**
   * @param committed hears the last committed position after every commit and every opening
   */
  JournalWriter(Database database, TimeSource time, LongConsumer committed) {
    this.database = database;
    this.time = time;
    this.committed = committed;
  }

  /** Opens the database, so that a journal that cannot work is refused at once, then starts. */
  void start() throws SQLException, JournalException {
    connection = open();
    thread.setDaemon(true);
    thread.start();
  }

  /** Takes work in; the future ends when it is durable, or failed and not done. */
  <T> CompletableFuture<T> submit(Work<T> work) throws JournalException {
    Request<T> request = new Request<>(work, new CompletableFuture<>());
    synchronized (gate) {
      if (closing) {
        throw new JournalException(
            "the journal is closed, file %s: nothing was written".formatted(database.file()), null);
      }
      waiting.add(request);
    }
    return request.done();
  }

  /** Returns how many transactions were committed since the start. */
  long commits() {
    return commits.get();
  }

  /** Finishes what waits, then ends; returns whether it did so within the limit. */
  boolean close(Duration limit) throws InterruptedException {
    synchronized (gate) {
      if (!closing) {
        closing = true;
        // wakes the thread; nothing can come in behind it
        waiting.add(new Request<>(c -> c.head(), new CompletableFuture<>()));
      }
    }
    thread.join(limit.toMillis());
    return !thread.isAlive();
  }

  private void run() {
    try {
      for (List<Request<?>> batch = next(); !batch.isEmpty(); batch = next()) {
        write(batch);
      }
    } finally {
      discard(false);
    }
  }

  /** Waits for work and takes all that is there; empty when closed and done. */
  private List<Request<?>> next() {
    List<Request<?>> batch = new ArrayList<>();
    while (batch.isEmpty()) {
      synchronized (gate) {
        if (closing && waiting.isEmpty()) {
          return batch;
        }
      }
      try {
        Request<?> first = waiting.poll(IDLE_SECONDS, TimeUnit.SECONDS);
        if (first != null) {
          batch.add(first);
          waiting.drainTo(batch, LARGEST_BATCH - 1);
        }
      } catch (InterruptedException e) {
        // nobody is entitled to stop this thread but close(), which does not interrupt
        LOG.warn("the journal writer was interrupted; it goes on");
      }
    }
    return batch;
  }

  private void write(List<Request<?>> batch) {
    List<Runnable> answers = new ArrayList<>(batch.size());
    try {
      WriteConnection use = connection;
      if (use == null) {
        use = open();
        connection = use;
        LOG.info(
            "journal {} opened again after a write error: sound, last position {}",
            database.file(),
            use.head());
      }
      use.begin();
      for (Request<?> request : batch) {
        answers.add(request.run(use));
      }
      use.commit();
      commits.incrementAndGet();
      committed.accept(use.head());
    } catch (Throwable e) { // whatever it was, the waiters must hear of it and the thread go on
      discard(true);
      batch.forEach(request -> request.done().completeExceptionally(e));
      return;
    }
    answers.forEach(Runnable::run);
  }

  private WriteConnection open() throws SQLException, JournalException {
    Connection opened = database.openForWriting();
    try {
      WriteConnection result = new WriteConnection(opened, time);
      committed.accept(result.head());
      return result;
    } catch (SQLException | RuntimeException e) {
      opened.close();
      throw e;
    }
  }

  private void discard(boolean rollback) {
    WriteConnection old = connection;
    connection = null;
    if (old == null) {
      return;
    }
    try {
      if (rollback) {
        old.rollback();
      }
    } catch (SQLException e) {
      LOG.debug("no transaction to roll back, SQLite had done so itself: {}", e.getMessage());
    }
    try {
      old.close();
    } catch (SQLException e) {
      LOG.warn("closing the journal {} failed: {}", database.file(), e.getMessage());
    }
  }
}
