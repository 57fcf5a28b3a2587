package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.tallywire.acceptance.Verdict.State;
import org.tallywire.acceptance.uncertainty.Conformity;
import org.tallywire.acceptance.uncertainty.Decision;
import org.tallywire.api.Unit;

/**
 * What is asked of which readings.
 *
 * @param subject the step judged, or the common part of the steps compared
 * @param inputs every reading that the answer depends on
 * @param unit of the judged quantity; deviation, limit and uncertainty have the criterion's
 * @param allowance the uncertainty to allow for
 */
record Question(
    Criterion criterion,
    Decision decision,
    String subject,
    List<BookedReading> inputs,
    Unit unit,
    BigDecimal limit,
    Allowance allowance) {

  Question {
    inputs = List.copyOf(inputs);
  }

  /**
   * Returns a subject as a person says it: {@code HV-LV A tap 3}, {@code HV-LV tap 3 on-load tap
   * 9}, {@code LV}.
   */
  static String inWords(String subject) {
    String[] parts = subject.split("/", -1);
    StringBuilder words = new StringBuilder(parts[1]);
    String tap = " tap ";
    for (int i = 2; i < parts.length; i++) {
      if (Step.PHASES.contains(parts[i])) {
        words.append(' ').append(parts[i]);
      } else if (!parts[i].equals(Step.ALL_PHASES)) {
        words.append(tap).append(parts[i]);
        tap = " on-load tap ";
      }
    }
    return words.toString();
  }

  State state(BigDecimal figure) {
    return State.of(decision.decide(figure, limit, allowance.expanded(), criterion.kind().bound()));
  }

  /** Returns the same question, with more readings on which the answer depends. */
  Question alsoOf(List<BookedReading> more) {
    List<BookedReading> all = new ArrayList<>(inputs);
    more.stream().filter(one -> !inputs.contains(one)).forEach(all::add);
    return new Question(criterion, decision, subject, all, unit, limit, allowance);
  }

  Answer decided(
      BigDecimal measured,
      BigDecimal expected,
      BigDecimal deviation,
      List<Finding> findings,
      String sentence) {
    return decided(state(deviation), measured, expected, deviation, findings, sentence);
  }

  /** Answers with a state that is known already: that of the deviation. */
  Answer decided(
      State state,
      BigDecimal measured,
      BigDecimal expected,
      BigDecimal deviation,
      List<Finding> findings,
      String sentence) {
    return new Answer(
        this,
        state,
        Optional.of(measured),
        Optional.of(expected),
        Optional.of(deviation),
        findings,
        sentence,
        next(state, deviation));
  }

  Answer undecided(List<Finding> findings, String what, UndecidableException why) {
    return new Answer(
        this,
        State.UNDECIDED,
        Optional.empty(),
        Optional.empty(),
        Optional.empty(),
        findings,
        what + " not judged: " + why.reason() + ".",
        why.next());
  }

  private String next(State state, BigDecimal figure) {
    return switch (state) {
      case PASS -> "Go on.";
      case FAIL -> "Check the leads and the tap position, and take it again.";
      default -> "Take it again; " + decidedBy(figure);
    };
  }

  /** Says how small the uncertainty must be to make a conditional state a clear one. */
  private String decidedBy(BigDecimal figure) {
    return decision
        .decisive(figure, limit, criterion.kind().bound())
        .map(
            most ->
                "an uncertainty of at most %s %s would decide it."
                    .formatted(most.toPlainString(), Figures.unitWord(criterion.kind().unit())))
        .orElse("it is exactly on the limit, and no uncertainty would decide it.");
  }

  /**
   * Returns the probability that the true figure is on the good side of the limit, with 4 decimals;
   * nothing without an uncertainty.
   */
  Optional<BigDecimal> conformance(BigDecimal figure) {
    if (allowance.expanded().signum() == 0) {
      return Optional.empty();
    }
    BigDecimal standard = allowance.expanded().divide(allowance.coverage(), MathContext.DECIMAL64);
    Conformity conformity =
        switch (criterion.kind().bound()) {
          case WITHIN -> Conformity.between(figure, standard, limit.negate(), limit);
          case AT_LEAST -> Conformity.atLeast(figure, standard, limit);
          case AT_MOST -> Conformity.atMost(figure, standard, limit);
        };
    return Optional.of(conformity.inside().setScale(4, RoundingMode.HALF_EVEN));
  }

  /**
   * What uncertainty is allowed for.
   *
   * @param expanded in the unit of the limit, not below zero
   * @param coverage the factor k that expanded it
   */
  record Allowance(BigDecimal expanded, BigDecimal coverage) {

    static final BigDecimal TWO = BigDecimal.valueOf(2);

    /** Returns what the table states for a criterion; by definition with k = 2. */
    static Allowance stated(Criterion criterion) {
      return new Allowance(criterion.uncertainty().orElse(BigDecimal.ZERO), TWO);
    }
  }

  /**
   * The outcome, before it is bound to a test set.
   *
   * @param deviation the figure that was held against the limit, unrounded
   * @param next what to do now
   */
  record Answer(
      Question question,
      State state,
      Optional<BigDecimal> measured,
      Optional<BigDecimal> expected,
      Optional<BigDecimal> deviation,
      List<Finding> findings,
      String sentence,
      String next) {

    /** Returns the same with another thing to do now. */
    Answer then(String what) {
      return new Answer(question, state, measured, expected, deviation, findings, sentence, what);
    }
  }
}
