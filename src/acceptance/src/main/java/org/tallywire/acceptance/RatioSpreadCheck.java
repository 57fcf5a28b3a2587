package org.tallywire.acceptance;

import java.util.List;
import org.tallywire.acceptance.Question.Answer;

/** Compares the ratios of the phases on one tap with each other. */
record RatioSpreadCheck(Criterion criterion, Case judged) implements Check {

  @Override
  public List<Answer> examine(BookedReading newest, Evidence evidence) {
    return List.of();
  }
}
