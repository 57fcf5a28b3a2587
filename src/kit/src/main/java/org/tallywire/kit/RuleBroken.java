package org.tallywire.kit;

/** Ends a trial in which a driver broke a rule; the message says how. */
final class RuleBroken extends Exception {

  private final DriverRule rule;

  RuleBroken(DriverRule rule, String sentence) {
    super(sentence, null, false, false);
    this.rule = rule;
  }

  DriverRule rule() {
    return rule;
  }
}
