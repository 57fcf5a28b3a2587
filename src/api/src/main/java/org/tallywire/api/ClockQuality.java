package org.tallywire.api;

import java.util.Locale;
import java.util.Optional;

/** How far the instrument's own time can be trusted. */
public enum ClockQuality {
  /** It gives no time. */
  NONE,
  /** It counts from its power-up and knows no time of day. */
  RELATIVE,
  /** It has a clock that nobody has set against another. */
  FREE,
  /** Its clock is set against a time standard, by its own word. */
  SYNCHRONISED;

  /** Returns the word for it in lines and records. */
  public String word() {
    return name().toLowerCase(Locale.ROOT);
  }

  /** Returns the quality with the given word, or nothing if there is none. */
  public static Optional<ClockQuality> of(String word) {
    for (ClockQuality quality : values()) {
      if (quality.word().equals(word)) {
        return Optional.of(quality);
      }
    }
    return Optional.empty();
  }
}
