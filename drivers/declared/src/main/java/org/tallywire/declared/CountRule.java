package org.tallywire.declared;

/**
 * How an instrument numbers its readings.
 *
 * @param from the field that holds the number
 * @param first what it begins with when it is switched on
 * @param last what it counts to
 * @param then what comes after the last
 */
record CountRule(String from, long first, long last, long then) {

  /** Part of a round beyond which a smaller number is a new beginning, and not the next round. */
  private static final int TENTH = 10;

  /** Returns how many numbers a round has. */
  long round() {
    return last - then + 1;
  }

  /** Returns how many readings lie between, the second one included, as the numbers go forward. */
  long forward(long before, long now) {
    return Math.floorMod(now - before, round());
  }

  /** Returns the number that an epoch begins with at a count: at least 1. */
  long number(long count) {
    return count >= 1 ? count : count + round();
  }

  /** Returns the count at which a number was given, or one a whole round from it. */
  long count(long number) {
    boolean beforeTheRounds = number >= first && number < then;
    return beforeTheRounds ? number : then + Math.floorMod(number - then, round());
  }

  /** Tells whether a number cannot follow another but by a new beginning (DRV-12). */
  boolean beginsAnew(long before, long now) {
    return now < before && forward(before, now) > Math.max(1, round() / TENTH);
  }
}
