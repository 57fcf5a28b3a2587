package org.tallywire.conform;

/** A check cannot be made against this side, for the reason it gives; no rule is broken. */
final class NotSeen extends Exception {

  NotSeen(String why) {
    super(why);
  }
}
