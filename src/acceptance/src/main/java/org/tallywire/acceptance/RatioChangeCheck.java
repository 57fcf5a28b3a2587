package org.tallywire.acceptance;

import java.util.List;
import org.tallywire.acceptance.Question.Answer;

/** Holds a ratio against the one measured earlier. */
record RatioChangeCheck(Criterion criterion, Case judged) implements Check {

  @Override
  public List<Answer> examine(BookedReading newest, Evidence evidence) {
    return List.of();
  }
}
