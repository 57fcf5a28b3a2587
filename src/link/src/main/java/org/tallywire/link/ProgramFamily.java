package org.tallywire.link;

import java.time.Duration;
import java.util.LinkedHashSet;
import java.util.Set;
import java.util.concurrent.TimeUnit;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;

/**
 * A program and the processes that it started, which the system no longer tells once it has ended:
 * so they are looked up from time to time while it runs.
 */
final class ProgramFamily {

  private static final Logger log = LoggerFactory.getLogger(ProgramFamily.class);
  private static final long LOOK_NANOS = Duration.ofSeconds(5).toNanos();
  private static final long BY_ITSELF_MS = 500;
  private static final long ASKED_MS = 1_000;
  private static final long STEP_MS = 10;

  private final Process process;
  private final Set<ProcessHandle> children = new LinkedHashSet<>();
  private long lookedAt = System.nanoTime();

  ProgramFamily(Process process) {
    this.process = process;
  }

  /** Looks for children, if the last look was a while ago. */
  void look() {
    look(System.nanoTime() - lookedAt > LOOK_NANOS);
  }

  /** Looks for children now, if so. */
  synchronized void look(boolean now) {
    if (now) {
      lookedAt = System.nanoTime();
      children.removeIf(child -> !child.isAlive());
      process.descendants().forEach(children::add);
    }
  }

  /** Ends them all: lets them end by themselves shortly, then asks, then makes them. */
  synchronized void end() {
    try {
      process.waitFor(BY_ITSELF_MS, TimeUnit.MILLISECONDS);
      look(true);
      if (isOver()) {
        return;
      }
      process.destroy();
      children.forEach(ProcessHandle::destroy);
      if (!isOverWithin(ASKED_MS)) {
        log.warn("process {} and its children did not end when asked; killed", process.pid());
      }
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    } finally {
      look(true);
      process.destroyForcibly();
      children.forEach(ProcessHandle::destroyForcibly);
    }
  }

  private boolean isOver() {
    return !process.isAlive() && children.stream().noneMatch(ProgramFamily::isRunning);
  }

  /** One that has ended and that nobody asks about is still listed, without a program. */
  private static boolean isRunning(ProcessHandle child) {
    return child.isAlive() && child.info().command().isPresent();
  }

  private boolean isOverWithin(long millis) throws InterruptedException {
    long end = System.nanoTime() + TimeUnit.MILLISECONDS.toNanos(millis);
    while (!isOver() && System.nanoTime() - end < 0) {
      TimeUnit.MILLISECONDS.sleep(STEP_MS);
    }
    return isOver();
  }
}
