package org.tallywire.bridge;

import java.math.BigDecimal;
import java.time.Duration;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/** Reads how long an instrument needs after its port was opened, as people write it. */
final class Settling {

  private static final Pattern TIME = Pattern.compile("([0-9]{1,5}(?:\\.[0-9]{1,3})?) ?(s|ms)");
  private static final BigDecimal LONGEST_MS = BigDecimal.valueOf(60_000);

  private Settling() {}

  /** Returns the time, or nothing if the text is none from 0 to 60 s. */
  static Optional<Duration> of(String text) {
    Matcher time = TIME.matcher(text);
    if (!time.matches()) {
      return Optional.empty();
    }
    BigDecimal number = new BigDecimal(time.group(1));
    BigDecimal millis = time.group(2).equals("s") ? number.movePointRight(3) : number;
    return millis.compareTo(LONGEST_MS) <= 0 && millis.stripTrailingZeros().scale() <= 0
        ? Optional.of(Duration.ofMillis(millis.longValueExact()))
        : Optional.empty();
  }
}
