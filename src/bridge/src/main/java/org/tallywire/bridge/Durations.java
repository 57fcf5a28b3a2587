package org.tallywire.bridge;

import java.math.BigDecimal;
import java.time.Duration;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * Reads times as people write them in files and on the command line: {@code 2 s}, {@code 500 ms}.
 */
final class Durations {

  private static final Pattern TIME =
      Pattern.compile("([0-9]{1,7}(?:\\.[0-9]{1,3})?) ?(ms|s|min|h)");
  private static final Pattern SECONDS = Pattern.compile("[0-9]{1,7}(?:\\.[0-9]{1,3})?");

  private Durations() {}

  /** Returns the time, or nothing if the text is none, or none of whole milliseconds. */
  static Optional<Duration> of(String text) {
    Matcher time = TIME.matcher(text);
    if (!time.matches()) {
      return Optional.empty();
    }
    int unit =
        switch (time.group(2)) {
          case "ms" -> 1;
          case "s" -> 1_000;
          case "min" -> 60_000;
          default -> 3_600_000;
        };
    BigDecimal millis =
        new BigDecimal(time.group(1)).multiply(BigDecimal.valueOf(unit)).stripTrailingZeros();
    return millis.scale() <= 0
        ? Optional.of(Duration.ofMillis(millis.longValueExact()))
        : Optional.empty();
  }

  /** Returns the time likewise; a number without a unit is of seconds. */
  static Optional<Duration> orSeconds(String text) {
    return of(SECONDS.matcher(text).matches() ? text + " s" : text);
  }

  /** Returns a time as people write it. */
  static String written(Duration time) {
    if (time.toMillisPart() != 0) {
      return time.toMillis() + " ms";
    }
    boolean hours = time.toSeconds() > 0 && time.toSeconds() % 3_600 == 0;
    return hours ? time.toHours() + " h" : time.toSeconds() + " s";
  }
}
