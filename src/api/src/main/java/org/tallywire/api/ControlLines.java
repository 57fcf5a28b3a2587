package org.tallywire.api;

import java.time.Duration;
import java.util.Locale;
import java.util.Optional;

/**
 * How a serial port's control lines stand while it is open, and how long an instrument needs after
 * the opening, which may have reset it.
 *
 * @param dtr whether Data Terminal Ready is on
 * @param rts whether Request To Send is on
 * @param settle how long after the opening nothing is sent and what arrives is not taken for data;
 *     0 to 60 s
 */
public record ControlLines(boolean dtr, boolean rts, Duration settle) {

  private static final Duration LONGEST = Duration.ofSeconds(60); // before its first use

  /** Both on, nothing to wait for. */
  public static final ControlLines USUAL = new ControlLines(true, true, Duration.ZERO);

  public ControlLines {
    if (settle.isNegative() || settle.compareTo(LONGEST) > 0) {
      throw new IllegalArgumentException(
          "a settle time of %s; it is 0 to %s".formatted(settle, LONGEST));
    }
  }

  /** Returns what {@code on} or {@code off} says of a line; nothing for any other word. */
  public static Optional<Boolean> isOn(String word) {
    return switch (word) {
      case "on" -> Optional.of(true);
      case "off" -> Optional.of(false);
      default -> Optional.empty();
    };
  }

  /** Returns what to write for a word that is neither: the one that is meant, if that is clear. */
  public static String instead(String word) {
    return switch (word.toLowerCase(Locale.ROOT)) {
      case "on", "true", "yes", "raised", "high", "up", "1" -> "write on";
      case "off", "false", "no", "lowered", "low", "down", "0" -> "write off";
      default -> "write on or off";
    };
  }
}
