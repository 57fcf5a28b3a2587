package org.tallywire.api;

import java.time.Duration;

/**
 * How a serial port's control lines stand while it is open, and how long an instrument needs after
 * the opening, which may have reset it.
 *
 * @param dtr whether Data Terminal Ready is raised
 * @param rts whether Request To Send is raised
 * @param settle how long after the opening nothing is sent and what arrives is not taken for data;
 *     0 to 60 s
 */
public record ControlLines(boolean dtr, boolean rts, Duration settle) {

  private static final Duration LONGEST = Duration.ofSeconds(60); // before its first use

  /** Both raised, nothing to wait for. */
  public static final ControlLines USUAL = new ControlLines(true, true, Duration.ZERO);

  public ControlLines {
    if (settle.isNegative() || settle.compareTo(LONGEST) > 0) {
      throw new IllegalArgumentException(
          "a settle time of %s; it is 0 to %s".formatted(settle, LONGEST));
    }
  }
}
