package org.tallywire.publish;

import java.time.Duration;

/**
 * How long things may take and how fast they are tried again.
 *
 * @param firstPause the pause after the first failed attempt; doubled after each further one
 * @param longestPause the longest pause
 * @param refusedPause the pause after the broker would not have us
 * @param connectWait from the attempt to the broker's answer
 * @param acknowledgeWait from a message to its acknowledgement, before the connection counts as
 *     dead
 * @param settled how long a connection must last for the pauses to start small again
 * @param firstTrial how long a connection must have lived before its end is blamed on a message;
 *     the further trials take longer
 */
record Pace(
    Duration firstPause,
    Duration longestPause,
    Duration refusedPause,
    Duration connectWait,
    Duration acknowledgeWait,
    Duration settled,
    Duration firstTrial) {

  static final Pace USUAL =
      new Pace(
          Duration.ofMillis(500),
          Duration.ofSeconds(30),
          Duration.ofSeconds(60),
          Duration.ofSeconds(12),
          Duration.ofSeconds(30),
          Duration.ofSeconds(10),
          Duration.ofSeconds(1));

  /** Returns the usual pace; a fault bench in a hurry makes all of it so many times shorter. */
  static Pace usual() {
    int hurry = Math.max(1, Integer.getInteger("tallywire.hurry", 1));
    return new Pace(
        USUAL.firstPause.dividedBy(hurry),
        USUAL.longestPause.dividedBy(hurry),
        USUAL.refusedPause.dividedBy(hurry),
        USUAL.connectWait.dividedBy(hurry),
        USUAL.acknowledgeWait.dividedBy(hurry),
        USUAL.settled.dividedBy(hurry),
        USUAL.firstTrial.dividedBy(hurry));
  }
}
