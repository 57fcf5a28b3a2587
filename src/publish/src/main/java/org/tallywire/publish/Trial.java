package org.tallywire.publish;

import java.time.Duration;

/**
 * Shows over one connection that it lives and takes messages, before the suspected message goes
 * alone: so many probes, spread over so much time. Each trial of a message has another number and
 * another time, so that a broker which ends every connection after so many messages, or so long,
 * cannot hit the suspected message twice.
 */
final class Trial {

  private static final int[] PROBES = {10, 20, 30};

  /** In halves of the first trial's time. */
  private static final int[] HALVES = {2, 5, 12};

  /** A suspected message after which the connection lived this long was ended by something else. */
  private static final int MARGIN = 4;

  private final Outgoing suspect;
  private final int probes;
  private final long time;
  private final long startedAt;
  private int sent;

  /**
   * @param number of trials of this message before this one, 0 to 2
   * @param first how long the first trial takes
   * @param slowest how long after the suspected message the connection lived so far
   * @param silence how long after a message the broker may end the connection; what comes later is
   *     silence. A trial takes up to twice that, or no late end could ever be right behind
   */
  Trial(Outgoing suspect, int number, Duration first, long slowest, Duration silence, long now) {
    this.suspect = suspect;
    this.probes = PROBES[number];
    long wanted = Math.max(first.toNanos() * HALVES[number] / 2, slowest * MARGIN);
    this.time = Math.min(wanted, silence.toNanos() * 2);
    this.startedAt = now;
  }

  Outgoing suspect() {
    return suspect;
  }

  /** Returns whether the probes are through. */
  boolean over(long now) {
    return sent >= probes && now - startedAt >= time;
  }

  /** Returns whether another probe is to go out now. */
  boolean due(long now) {
    return sent < probes && now - startedAt >= time / probes * sent;
  }

  void sent() {
    sent++;
  }

  /** Returns whether an end so long after the suspected message came right behind it. */
  boolean rightBehind(long sentAt, long now) {
    return (now - sentAt) * 2 <= sentAt - startedAt;
  }
}
