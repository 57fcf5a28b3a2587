package org.tallywire.simulator;

import java.time.Duration;
import java.time.Instant;
import java.time.InstantSource;
import java.util.Optional;
import java.util.function.LongSupplier;
import org.tallywire.simulator.scenario.Faults;
import org.tallywire.simulator.scenario.LineFault.WrongClock;

/**
 * The time that passes at the bench: it begins with the measuring and runs at a pace of its own.
 * Line time, of beats and time-outs, is always the real one, as somebody real is listening.
 *
 * <p>As an {@link InstantSource} it is the tester's clock, with what is wrong with it.
 */
final class BenchTime implements InstantSource {

  private final double pace;
  private final Optional<Instant> startsAt;
  private final Faults faults;
  private final LongSupplier nanos;
  private final InstantSource wall;
  private volatile long beganAt;
  private volatile boolean begun;
  private volatile boolean paused;

  /**
   * A bench at which nothing is measured yet.
   *
   * @param pace bench seconds in a real second
   * @param startsAt time of day when it begins; nothing for the real one
   * @param nanos the clock that only goes up, in nanoseconds
   * @param wall the time of day
   */
  BenchTime(
      double pace,
      Optional<Instant> startsAt,
      Faults faults,
      LongSupplier nanos,
      InstantSource wall) {
    this.pace = pace;
    this.startsAt = startsAt;
    this.faults = faults;
    this.nanos = nanos;
    this.wall = wall;
  }

  /** Returns the moment that it is, in nanoseconds of the clock that only goes up. */
  long now() {
    return nanos.getAsLong();
  }

  /** Begins, unless it has begun. */
  void begin(long now) {
    if (!begun) {
      beganAt = now;
      begun = true;
    }
  }

  boolean begun() {
    return begun;
  }

  /** Has nothing more measured, or has it go on; time passes all the while. */
  void pause(boolean still) {
    paused = still;
  }

  boolean paused() {
    return paused;
  }

  /** Returns the bench time that it is. */
  Duration elapsed() {
    return at(now());
  }

  /** Returns the bench time at such a moment. */
  Duration at(long now) {
    return begun ? Duration.ofNanos((long) ((now - beganAt) * pace)) : Duration.ZERO;
  }

  /** Returns the moment at which bench time gets there. */
  long moment(Duration bench) {
    return beganAt + real(bench);
  }

  /** Returns the real nanoseconds in which so much bench time passes. */
  long real(Duration bench) {
    return (long) (bench.toNanos() / pace);
  }

  /** Returns the bench time that passes in so much real time. */
  Duration bench(Duration real) {
    return Duration.ofNanos((long) (real.toNanos() * pace));
  }

  @Override
  public Instant instant() {
    return instant(elapsed());
  }

  /** Returns what the tester's clock shows at a moment of bench time. */
  Instant instant(Duration bench) {
    Instant right = startsAt.map(start -> start.plus(bench)).orElseGet(wall::instant);
    Duration wrong =
        faults.at(WrongClock.class, bench).stream()
            .map(WrongClock::by)
            .reduce(Duration.ZERO, Duration::plus);
    return right.plus(wrong);
  }
}
