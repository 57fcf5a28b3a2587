package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.util.List;
import java.util.Optional;
import org.tallywire.acceptance.Verdict.State;
import org.tallywire.api.Unit;

/**
 * What is asked of which readings.
 *
 * @param unit of the judged quantity
 * @param deviationUnit of deviation, limit and uncertainty
 */
record Question(
    Criterion criterion,
    String subject,
    List<BookedReading> inputs,
    Unit unit,
    Unit deviationUnit,
    BigDecimal limit) {

  Question {
    inputs = List.copyOf(inputs);
  }

  /** Returns what is judged as a person says it: {@code HV-LV A tap 3}, {@code LV}. */
  String inWords() {
    String[] parts = subject.split("/", -1);
    StringBuilder words = new StringBuilder(parts[1]);
    for (String part : List.of(parts).subList(2, parts.length)) {
      words.append(Step.PHASES.contains(part) ? " " : " tap ").append(part);
    }
    return words.toString();
  }

  State state(BigDecimal deviation) {
    return Decision.state(deviation, limit, criterion.uncertainty());
  }

  Answer decided(
      BigDecimal measured,
      BigDecimal expected,
      BigDecimal deviation,
      List<Finding> findings,
      String sentence) {
    return new Answer(
        this,
        state(deviation),
        Optional.of(measured),
        Optional.of(expected),
        Optional.of(Figures.deviation(deviation)),
        findings,
        sentence);
  }

  Answer undecided(List<Finding> findings, String sentence) {
    return new Answer(
        this,
        State.UNDECIDED,
        Optional.empty(),
        Optional.empty(),
        Optional.empty(),
        findings,
        sentence);
  }

  /** The outcome, before it is bound to a test set. */
  record Answer(
      Question question,
      State state,
      Optional<BigDecimal> measured,
      Optional<BigDecimal> expected,
      Optional<BigDecimal> deviation,
      List<Finding> findings,
      String sentence) {}
}
