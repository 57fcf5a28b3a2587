package org.tallywire.link;

import java.time.Duration;
import java.util.concurrent.Callable;
import java.util.concurrent.ExecutionException;
import java.util.concurrent.ExecutorService;
import java.util.concurrent.Executors;
import java.util.concurrent.TimeUnit;
import java.util.concurrent.TimeoutException;
import org.tallywire.api.FaultCode;
import org.tallywire.api.LinkException;

/**
 * Writes on a thread of its own, because a write to a port whose other side does not take bytes can
 * block for ever.
 */
final class BoundedWrite implements AutoCloseable {

  private static final Duration LIMIT = Duration.ofSeconds(2);

  private final String name;
  private final ExecutorService writer;

  BoundedWrite(String name) {
    this.name = name;
    this.writer =
        Executors.newSingleThreadExecutor(
            task -> {
              Thread thread = new Thread(task, "write " + name);
              thread.setDaemon(true);
              return thread;
            });
  }

  /** Runs the write; it returns how many bytes it wrote. */
  void run(int length, Callable<Integer> write) throws LinkException {
    try {
      int written = writer.submit(write).get(LIMIT.toMillis(), TimeUnit.MILLISECONDS);
      if (written != length) {
        throw new LinkException(
            FaultCode.LINK_LOST,
            "writing %d bytes to %s: only %d were taken".formatted(length, name, written));
      }
    } catch (TimeoutException e) {
      throw new LinkException(
          FaultCode.LINK_LOST,
          "writing %d bytes to %s: not taken within %d ms"
              .formatted(length, name, LIMIT.toMillis()),
          e);
    } catch (ExecutionException e) {
      throw new LinkException(
          FaultCode.LINK_LOST,
          "writing %d bytes to %s: %s".formatted(length, name, e.getCause()),
          e);
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
      throw new LinkException(FaultCode.LINK_LOST, "writing to " + name + ": interrupted", e);
    }
  }

  /** Lets something be done behind the last write, on its thread, and takes no more writes. */
  void closeAfter(Runnable last) {
    writer.execute(last);
    writer.shutdown();
  }

  /** Tells whether the last write is over, after a close, waiting so long at most. */
  boolean awaitEnd(Duration wait) throws InterruptedException {
    return writer.awaitTermination(wait.toMillis(), TimeUnit.MILLISECONDS);
  }

  @Override
  public void close() {
    writer.shutdownNow();
  }
}
