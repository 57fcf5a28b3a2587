package org.tallywire.fault;

import java.util.List;

/**
 * What the oracle found.
 *
 * @param readings how many the instruments took
 * @param lost how many of them are not in the journal and not declared, or in the journal and never
 *     received
 * @param doubled how many came twice as two records, or in two versions
 * @param declared how many are missing and declared by a gap record
 * @param untold how many an instrument that was switched off took with it before it could say that
 *     it had them, so that nobody could declare them
 * @param wrong a sentence for everything that must not be, lost and doubled among it; the first
 *     hundred
 */
record Findings(
    long readings, long lost, long doubled, long declared, long untold, List<String> wrong) {

  Findings {
    wrong = List.copyOf(wrong);
  }

  boolean isSound() {
    return lost == 0 && doubled == 0 && wrong.isEmpty();
  }
}
