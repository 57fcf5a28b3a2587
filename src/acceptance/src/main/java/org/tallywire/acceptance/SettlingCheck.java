package org.tallywire.acceptance;

import java.util.List;
import org.tallywire.acceptance.Question.Answer;

/** Tells from the run of readings of one step whether the resistance has settled. */
record SettlingCheck(Criterion criterion, Case judged) implements Check {

  @Override
  public List<Answer> examine(BookedReading newest, Evidence evidence) {
    return List.of();
  }
}
