package org.tallywire.simulator.scenario;

import java.util.Locale;

/**
 * Something that is wrong, planted on purpose: with the unit, the leads, the tester or the line.
 */
public sealed interface Fault permits UnitFault, LeadFault, TesterFault, LineFault {

  /** Returns its name as people write it, for example {@code bad joint}. */
  default String word() {
    return word(getClass());
  }

  /** Returns the name of a kind as people write it. */
  static String word(Class<? extends Fault> kind) {
    return kind.getSimpleName().replaceAll("(?<=[a-z])(?=[A-Z])", " ").toLowerCase(Locale.ROOT);
  }

  /** Returns a name as programs write it, for example {@code bad-joint}. */
  static String dashed(String word) {
    return word.replace(' ', '-');
  }

  /** Returns where it sits in two words, for example {@code LV C}; {@code -} where it has no. */
  default String place() {
    return "- -";
  }
}
