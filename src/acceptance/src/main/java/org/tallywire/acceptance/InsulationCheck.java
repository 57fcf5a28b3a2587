package org.tallywire.acceptance;

import java.util.List;
import org.tallywire.acceptance.Question.Answer;

/** Holds an insulation resistance against its least value. */
record InsulationCheck(Criterion criterion, Case judged) implements Check {

  @Override
  public List<Answer> examine(BookedReading newest, Evidence evidence) {
    return List.of();
  }
}
