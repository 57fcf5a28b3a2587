package org.tallywire.acceptance;

import java.util.List;
import org.tallywire.acceptance.Question.Answer;

/** One criterion, applied to the readings that it is about. Pure and safe for several threads. */
interface Check {

  /**
   * Returns what the newest reading makes possible, its own judgement or that of a comparison that
   * it completes or changes; nothing where the reading is of another test or others are missing.
   */
  List<Answer> examine(BookedReading newest, Evidence evidence);
}
