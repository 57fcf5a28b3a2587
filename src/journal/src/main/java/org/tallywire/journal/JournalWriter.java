package org.tallywire.journal;

import java.sql.Connection;
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

  /** Pages in the log at which it is folded into the file: SQLite's usual 4 MB, or soon. */
  private static final int FOLD_USUALLY = 1_000;

  private static final int FOLD_SOON = 64;

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
  private final HeadMark mark;
  private final LongConsumer committed;
  private final BlockingQueue<Request<?>> waiting = new LinkedBlockingQueue<>();
  private final Thread thread = new Thread(this::run, "journal-writer");
  private final Object gate = new Object();

  private final AtomicLong commits = new AtomicLong();

  private boolean closing;
  private boolean foldsSoon;
  private long lastCommitted;
  private @Nullable WriteConnection connection;

  /**
   * @param committed hears the last committed position after every commit and every opening
   */
  JournalWriter(
      Database database, TimeSource time, Storage storage, HeadMark mark, LongConsumer committed) {
    this.database = database;
    this.time = time;
    this.storage = storage;
    this.mark = mark;
    this.committed = committed;
  }

  /**
   * Opens the database, so that a journal that cannot work is refused at once, then starts; returns
   * the journal's identity.
   */
  String start() throws SQLException, JournalException {
    storage.start();
    boolean started = false;
    try {
      WriteConnection first = open(Database.Check.WHOLE);
      connection = first;
      mark.require(first);
      settle(first);
      String identity = first.identity();
      thread.setDaemon(true);
      thread.start();
      started = true;
      return identity;
    } finally {
      if (!started) {
        discard(false);
        mark.close();
      }
    }
  }

  /** The process before us may have met a sync that failed; a full disk must not keep us out. */
  private void settle(WriteConnection first) {
    try {
      if (first.settle()) {
        return;
      }
      LOG.warn(
          "the log of the journal {} could not be folded in at the start: another program reads the file",
          database.file());
    } catch (SQLException e) {
      LOG.warn(
          "the log of the journal {} could not be folded in at the start: {}",
          database.file(),
          e.getMessage());
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
      discard(false);
      mark.close();
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
        } else {
          storage.look();
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
      WriteConnection use = connection();
      use.begin();
      working = true;
      for (Request<?> request : batch) {
        answers.add(request.run(use));
      }
      working = false;
      use.commit();
      commits.incrementAndGet();
      reached(use);
    } catch (Throwable e) { // whatever it was, the waiters must hear of it and the thread go on
      if (working && e instanceof JournalException) {
        rollback();
        return new Failure(e, true);
      }
      discard(true);
      return new Failure(storage.failed(e), false);
    }
    storage.worked();
    answers.forEach(Runnable::run);
    return null;
  }

  /** Undoes what a request did before it was refused; the connection stays if that works. */
  private void rollback() {
    WriteConnection use = connection;
    try {
      if (use != null) {
        use.rollback();
      }
    } catch (SQLException e) {
      LOG.warn("undoing a refused write failed, file {}: {}", database.file(), e.getMessage());
      discard(false);
    }
  }

  /** Notes how far the journal is, in that order: whoever hears of it can find it marked. */
  private void reached(WriteConnection use) {
    long head = use.head();
    if (head != lastCommitted) {
      mark.write(head, use.digest());
      lastCommitted = head;
    }
    committed.accept(head);
  }

  /** Returns the connection, opened anew after an error and set for the space there is. */
  private WriteConnection connection() throws SQLException, JournalException {
    WriteConnection use = connection;
    if (use == null) {
      use = open(Database.Check.PAGES);
      if (!use.settle()) {
        use.close();
        throw new SQLException("a reader keeps the log from being folded into the file");
      }
      connection = use;
      LOG.info(
          "journal {} opened again after a write error: sound, last position {}",
          database.file(),
          use.head());
      foldsSoon = false;
    }
    if (foldsSoon != storage.full()) {
      foldsSoon = storage.full();
      use.fold(foldsSoon ? FOLD_SOON : FOLD_USUALLY);
    }
    return use;
  }

  private WriteConnection open(Database.Check check) throws SQLException, JournalException {
    Connection opened = database.openForWriting(check, time.now());
    boolean sound = false;
    try {
      WriteConnection result = new WriteConnection(opened, new Rows(database.file()), time);
      if (result.head() < lastCommitted) {
        throw JournalException.damaged(
            database.file(),
            "it ends at position %d, where %d was committed"
                .formatted(result.head(), lastCommitted));
      }
      lastCommitted = result.head();
      committed.accept(lastCommitted);
      sound = true;
      return result;
    } finally {
      if (!sound) {
        opened.close();
      }
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
