package org.tallywire.acceptance;

import java.util.List;
import org.tallywire.acceptance.Question.Answer;

/** Holds the polarisation index or the dielectric absorption ratio against its least value. */
record AbsorptionCheck(Criterion criterion, Case judged) implements Check {

  @Override
  public List<Answer> examine(BookedReading newest, Evidence evidence) {
    return List.of();
  }
}
