package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.util.List;
import org.tallywire.acceptance.Question.Allowance;
import org.tallywire.api.Unit;

/** What a test set is judged by: the plate and the table. */
record Case(Nameplate nameplate, CriteriaTable table) {

  /** Returns a question whose uncertainty is the one that the table states for the criterion. */
  Question question(
      Criterion criterion,
      String subject,
      List<BookedReading> inputs,
      Unit unit,
      BigDecimal limit) {
    return new Question(
        criterion, table.decision(), subject, inputs, unit, limit, Allowance.stated(criterion));
  }

  Correction correction() {
    return new Correction(nameplate, table.conductors());
  }
}
