package org.tallywire.bridge;

import java.time.Duration;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import org.tallywire.api.LinkAddress;
import org.tallywire.link.Links;

/**
 * Lets a command that runs until Ctrl-C end in order: the process waits, for a few seconds, until
 * it has. Closed when all of the command has ended. Safe for use by its thread and the one that
 * stops it.
 */
final class CtrlC implements AutoCloseable {

  private final Duration longest;
  private final CountDownLatch came = new CountDownLatch(1);
  private final CountDownLatch ended = new CountDownLatch(1);

  /** Makes one that lets the process wait so long at most. */
  CtrlC(Duration longest) {
    this.longest = longest;
  }

  /**
   * Listens from here on.
   *
   * @param wake is run when it comes, after which {@link #came} is true
   * @param late is told if the command does not end in time
   */
  void listen(Links links, LinkAddress address, Runnable wake, String late) {
    Thread hook = new Thread(() -> stop(wake, late), "stop");
    if (address instanceof LinkAddress.Serial) {
      links.atExit(hook); // before the serial library closes its ports by itself
    } else {
      Runtime.getRuntime().addShutdownHook(hook);
    }
  }

  private void stop(Runnable wake, String late) {
    came.countDown();
    wake.run();
    try {
      if (!ended.await(longest.toMillis(), TimeUnit.MILLISECONDS)) {
        System.err.println(late);
      }
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }

  /** Tells whether it came. */
  boolean came() {
    return came.getCount() == 0;
  }

  @Override
  public void close() {
    ended.countDown();
  }
}
