package org.tallywire.publish;

import java.time.Duration;
import java.util.ArrayDeque;
import java.util.Deque;

/**
 * Notices that a broker keeps ending connections soon after they were up, as it does when two
 * processes use one client id (MQTT 3.1.1, MQTT-3.1.4-2). Used by one thread.
 */
final class TakeOvers {

  private static final int ENDS = 3;
  private static final Duration WITHIN = Duration.ofMinutes(1);

  private final Duration soon;
  private final Deque<Long> ends = new ArrayDeque<>();

  /**
   * @param soon an end that comes later after the connection was up is none of these
   */
  TakeOvers(Duration soon) {
    this.soon = soon;
  }

  /**
   * Notes that the broker ended a connection; returns whether it looks like a second process. An
   * end that a message may explain does not count, and a message found guilty explains those
   * before.
   */
  boolean ended(long upAt, long now, Caution caution) {
    if (caution.condemnedOne()) {
      ends.clear();
    } else if (!caution.atMessage() && now - upAt < soon.toNanos()) {
      ends.add(now);
    }
    while (!ends.isEmpty() && now - ends.element() > WITHIN.toNanos()) {
      ends.remove();
    }
    return !caution.atMessage() && ends.size() >= ENDS;
  }
}
