package org.tallywire.simulator.face;

import java.time.Instant;
import java.time.InstantSource;
import java.time.ZoneOffset;
import java.time.format.DateTimeFormatter;
import java.util.Locale;

/** The instrument's clock, as good as it is said to be (L-20b). Used by one thread. */
public final class InstrumentClock {

  private static final DateTimeFormatter UTC_MILLIS =
      DateTimeFormatter.ofPattern("uuuu-MM-dd'T'HH:mm:ss.SSS'Z'", Locale.ROOT)
          .withZone(ZoneOffset.UTC);
  private static final long NANOS_PER_MILLI = 1_000_000;

  private final Quality quality;
  private final InstantSource wall;
  private long onSince;

  /** A clock that runs from {@link #powerUp} on. */
  public InstrumentClock(Quality quality, InstantSource wall) {
    this.quality = quality;
    this.wall = wall;
  }

  /** How good the time is. */
  public enum Quality {
    NONE,
    RELATIVE,
    FREE,
    SYNCHRONISED;

    /** Returns the word of L-20b. */
    @Override
    public String toString() {
      return name().toLowerCase(Locale.ROOT);
    }

    /**
     * Returns what can be said to a bridge of that minor version: 1.0 does not know {@code
     * relative} (L-32b).
     */
    Quality to(int minor) {
      return this == RELATIVE && minor < 1 ? NONE : this;
    }
  }

  /**
   * A moment.
   *
   * @param at time of day
   * @param uptime whole milliseconds since power-up
   */
  public record Stamp(Instant at, long uptime) {}

  public void powerUp(long now) {
    onSince = now;
  }

  /** Returns this moment. */
  public Stamp stamp(long now) {
    return stamp(wall.instant(), now);
  }

  /** Returns a moment whose time of day is known. */
  public Stamp stamp(Instant at, long now) {
    return new Stamp(at, Math.max(0, now - onSince) / NANOS_PER_MILLI);
  }

  /** Returns the word of L-20b for a bridge of that minor version. */
  public Quality quality(int minor) {
    return quality.to(minor);
  }

  /** Returns the line with {@code at} or {@code uptime} or neither (L-20c). */
  public Line timed(Line line, Stamp stamp, int minor) {
    return switch (quality(minor)) {
      case NONE -> line;
      case RELATIVE -> line.with("uptime", stamp.uptime());
      case FREE, SYNCHRONISED -> line.with("at", UTC_MILLIS.format(stamp.at()));
    };
  }
}
