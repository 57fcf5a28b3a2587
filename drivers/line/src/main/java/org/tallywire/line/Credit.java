package org.tallywire.line;

import java.time.Duration;
import org.tallywire.api.SessionHost;

/**
 * How many readings may be under way, unacknowledged (rule L-35): as many as keep the line busy
 * while an acknowledgement is on its way.
 */
final class Credit {

  static final int MOST = 64;

  private static final int AT_LEAST = 2;
  private static final int ACKNOWLEDGEMENT = 60; // bytes
  private static final int READING = 100; // bytes
  private static final Duration DISK = Duration.ofMillis(100);

  private Credit() {}

  static int of(SessionHost host) {
    if (host.lineTime(10 * LineFramer.LIMIT).equals(host.lineTime(LineFramer.LIMIT))) {
      return MOST; // L-35b: over TCP the time does not depend on the length
    }
    long away = host.lineTime(ACKNOWLEDGEMENT).plus(DISK).toNanos();
    long reading = host.lineTime(READING).toNanos();
    long readings = (away + reading - 1) / reading; // rounded up
    return (int) Math.min(MOST, AT_LEAST + readings);
  }
}
