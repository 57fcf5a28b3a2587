package org.tallywire.journal;

import java.sql.SQLException;
import java.time.Duration;
import java.util.ArrayList;
import java.util.List;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.CompletableFuture;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.LinkedBlockingQueue;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.TimeoutException;
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
  private static final Duration LONGEST_WRITE = Duration.ofSeconds(30);
  private static final int LARGEST_BATCH = 1_000;
  private static final int IDLE_SECONDS = 1;

  /** Something to do inside a transaction. */
  interface Work<T> {
    T run(WriteConnection connection) throws SQLException, JournalException;
  }

  private record Request<T>(boolean entries, Work<T> work, CompletableFuture<T> done) {

    /** Does the work and returns what tells the waiter, to be run after the commit. */
    Runnable run(WriteConnection connection) throws SQLException, JournalException {
      T result = work.run(connection);
      return () -> done.complete(result);
    }
  }

  /**
   * Why a transaction was not made.
   *
   * @param ofOne whether it was one request's own fault and not the disk's
   */
  private record Failure(Throwable cause, boolean ofOne) {}

  private final Database database;
  private final TimeSource time;
  private final Storage storage;
  private final Opening opening;
  private final BlockingQueue<Request<?>> waiting = new LinkedBlockingQueue<>();
  private final Thread thread = new Thread(this::run, "journal-writer");
  private final Object gate = new Object();

  private final AtomicLong commits = new AtomicLong();

  private boolean closing;

  /**
   * @param committed hears the last committed position after every commit and every opening, once
   *     the log that the opening found is settled
   */
  JournalWriter(
      Database database, TimeSource time, Storage storage, HeadMark mark, LongConsumer committed) {
    this.database = database;
    this.time = time;
    this.storage = storage;
    this.opening = new Opening(database, time, storage, mark, committed);
  }

  /**
   * Opens the database, so that a journal that cannot work is refused at once, then starts; returns
   * the journal's identity.
   */
  String start() throws SQLException, JournalException {
    storage.start();
    boolean started = false;
    try {
      String identity = opening.start();
      thread.setDaemon(true);
      thread.start();
      started = true;
      return identity;
    } finally {
      if (!started) {
        opening.close();
      }
    }
  }

  /**
   * Does work inside a transaction and returns when it is durable.
   *
   * @param doing completes "could not ..."
   * @param entries whether it adds entries, which a full disk refuses
   */
  <T> T write(String doing, boolean entries, Work<T> work) throws JournalException {
    CompletableFuture<T> done = submit(entries, work);
    boolean interrupted = false;
    long end = time.nanos() + LONGEST_WRITE.toNanos();
    try {
      while (true) {
        try {
          return done.get(end - time.nanos(), TimeUnit.NANOSECONDS);
        } catch (InterruptedException e) {
          // the work is on its way and cannot be called back; its outcome is due soon
          interrupted = true;
        }
      }
    } catch (ExecutionException e) {
      Throwable cause = e.getCause() == null ? e : e.getCause();
      throw JournalException.writing(doing, database.file(), cause);
    } catch (TimeoutException e) {
      // if it still waits, nobody needs it any more
      done.cancel(false);
      throw new JournalException(
          "could not %s, file %s: not confirmed after %d s, it may still be written. Check the disk and repeat with the same ids, which doubles nothing"
              .formatted(doing, database.file(), LONGEST_WRITE.toSeconds()),
          e);
    } finally {
      if (interrupted) {
        Thread.currentThread().interrupt();
      }
    }
  }

  private <T> CompletableFuture<T> submit(boolean entries, Work<T> work) throws JournalException {
    Request<T> request = new Request<>(entries, work, new CompletableFuture<>());
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
        waiting.add(new Request<>(false, c -> c.head(), new CompletableFuture<>()));
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
      opening.close();
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
          batch.removeIf(request -> request.done().isDone());
        } else {
          storage.look();
          opening.idle();
        }
      } catch (InterruptedException e) {
        // nobody is entitled to stop this thread but close(), which does not interrupt
        LOG.warn("the journal writer was interrupted; it goes on");
      }
    }
    return batch;
  }

  /** Writes what the disk has space for, and tells everybody what became of theirs. */
  private void write(List<Request<?>> batch) {
    List<Request<?>> use = batch;
    if (batch.stream().anyMatch(Request::entries) && !storage.takesEntries()) {
      use = refuseEntries(batch, storage.refusal());
    }
    if (use.isEmpty()) {
      return;
    }
    boolean wasFull = storage.full();
    Failure failure = attempt(use);
    if (failure == null) {
      return;
    }
    if (failure.ofOne() && use.size() > 1) {
      // one of them met a damaged row or asked for what cannot be: the others are not to blame
      use.forEach(request -> write(List.of(request)));
      return;
    }
    if (storage.full() && !wasFull) {
      use = refuseEntries(use, failure.cause());
      failure = use.isEmpty() ? null : attempt(use);
    }
    if (failure != null) {
      Throwable why = failure.cause();
      use.forEach(request -> request.done().completeExceptionally(why));
    }
  }

  private static List<Request<?>> refuseEntries(List<Request<?>> batch, Throwable why) {
    List<Request<?>> others = new ArrayList<>();
    for (Request<?> request : batch) {
      if (request.entries()) {
        request.done().completeExceptionally(why);
      } else {
        others.add(request);
      }
    }
    return others;
  }

  /** Writes the batch in one transaction; returns what went wrong, nobody told then. */
  private @Nullable Failure attempt(List<Request<?>> batch) {
    List<Runnable> answers = new ArrayList<>(batch.size());
    boolean working = false;
    try {
      WriteConnection use = opening.connection();
      use.begin();
      working = true;
      for (Request<?> request : batch) {
        answers.add(request.run(use));
      }
      working = false;
      use.commit();
      commits.incrementAndGet();
      opening.reached(use);
    } catch (Throwable e) { // whatever it was, the waiters must hear of it and the thread go on
      if (working && e instanceof JournalException) {
        opening.rollback();
        return new Failure(e, true);
      }
      opening.discard(true);
      return new Failure(storage.failed(e), false);
    }
    storage.worked();
    answers.forEach(Runnable::run);
    return null;
  }
}
