package org.tallywire.conform;

import java.time.Duration;
import org.tallywire.line.LineFramer;

/**
 * How fast the line is, and what times follow from it (section 6 of the protocol).
 *
 * @param baud bits a second; 0 over TCP
 */
record LineRate(int baud) {

  private static final Duration TCP_LIMIT = Duration.ofMillis(500);
  private static final Duration TURNAROUND = Duration.ofMillis(200);
  private static final int BITS = 10;
  private static final int FEWEST = 2;
  private static final int MOST_CREDIT = 64;

  /** What a machine under load may be late by, in a check of a time. */
  private static final Duration LENIENCE = Duration.ofMillis(700);

  boolean isTcp() {
    return baud == 0;
  }

  /** Returns after how long without an answer a request is repeated (L-29a, L-29c). */
  Duration limit(int requestBytes, int readings) {
    return isTcp()
        ? TCP_LIMIT
        : lineTime(requestBytes + LineFramer.LIMIT * (1 + readings))
            .multipliedBy(2)
            .plus(TURNAROUND);
  }

  /** Returns the latest time at which something that is due may be heard here. */
  Duration late(Duration due) {
    return due.plus(LENIENCE).plus(lineTime(2 * LineFramer.LIMIT));
  }

  /** Returns the earliest time at which something that is due may be heard here. */
  Duration early(Duration due) {
    return due.multipliedBy(3).dividedBy(4).minus(isTcp() ? Duration.ZERO : TURNAROUND);
  }

  /** Returns after how much silence the link is down (L-28c). */
  Duration silence(Duration beat) {
    return beat.multipliedBy(5).dividedBy(2).plus(lineTime(LineFramer.LIMIT));
  }

  /** Returns the credit that the bridge should grant (L-35a, L-35b). */
  int credit() {
    if (isTcp()) {
      return MOST_CREDIT;
    }
    double way = lineTime(60).plusMillis(100).toNanos() / (double) lineTime(100).toNanos();
    return Math.min(MOST_CREDIT, (int) Math.ceil(FEWEST + way));
  }

  /** Returns how long so many bytes take; nothing over TCP. */
  Duration lineTime(int bytes) {
    return isTcp() ? Duration.ZERO : Duration.ofNanos((long) bytes * BITS * 1_000_000_000L / baud);
  }
}
