package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.util.List;
import org.tallywire.acceptance.Question.Allowance;
import org.tallywire.api.Unit;

/** What a test set is judged by: the plate and the table. */
record Case(Nameplate nameplate, CriteriaTable table) {

  /** Returns the question about one reading, with the limit that the table states. */
  Question about(Criterion criterion, BookedReading booked, Unit unit) {
    return question(
        criterion, booked.step().id(), List.of(booked), unit, criterion.number(Criterion.LIMIT));
  }

  /** Returns the question about all phases together, with the limit that the table states. */
  Question across(Criterion criterion, List<BookedReading> phases, Unit unit) {
    return question(
        criterion, phases.get(0).step().common(), phases, unit, criterion.number(Criterion.LIMIT));
  }

  /**
   * Returns a question whose uncertainty is the one that the table states for the criterion, or
   * else the one that follows from the accuracies of the instruments.
   *
   * @param inputs the readings that are judged or compared, and none besides; those that the answer
   *     depends on in another way come with {@link Question#alsoOf}
   */
  Question question(
      Criterion criterion,
      String subject,
      List<BookedReading> inputs,
      Unit unit,
      BigDecimal limit) {
    Allowance allowance =
        criterion.uncertainty().isPresent()
            ? Allowance.stated(criterion)
            : InstrumentBudget.allowance(this, criterion, inputs, limit);
    return question(criterion, subject, inputs, unit, limit, allowance);
  }

  /** Returns a question with an uncertainty of which the check knows more. */
  Question question(
      Criterion criterion,
      String subject,
      List<BookedReading> inputs,
      Unit unit,
      BigDecimal limit,
      Allowance allowance) {
    return new Question(criterion, table.decision(), subject, inputs, unit, limit, allowance);
  }

  Correction correction() {
    return new Correction(nameplate, table.conductors());
  }
}
