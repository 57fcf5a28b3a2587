package org.tallywire.kit;

import java.time.Duration;
import java.time.Instant;
import org.tallywire.api.TimeSource;

/** A clock that moves only when told to. Safe for use by many threads. */
public final class ManualTime implements TimeSource {

  private Instant wall = Instant.parse("2026-01-15T08:00:00Z");
  private long elapsed;

  /** Lets time pass on both clocks. */
  public synchronized void pass(Duration duration) {
    wall = wall.plus(duration);
    elapsed += duration.toNanos();
  }

  /** Sets the wall clock, as an administrator or a time server does; elapsed time goes on. */
  public synchronized void setWall(Instant instant) {
    wall = instant;
  }

  @Override
  public synchronized Instant now() {
    return wall;
  }

  @Override
  public synchronized long nanos() {
    return elapsed;
  }
}
