package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Locale;
import java.util.Optional;
import org.tallywire.acceptance.uncertainty.Bound;
import org.tallywire.acceptance.uncertainty.Outcome;
import org.tallywire.api.Unit;

/**
 * A judgement with every figure that led to it, so that anybody can derive it again.
 *
 * @param id derived from the readings, bookings, criteria table and method, so that the same
 *     judgement made twice is the same record
 * @param station of the last of its readings to arrive
 * @param testSet it belongs to
 * @param asset that was tested
 * @param subject the step judged, or for a comparison of phases the steps' common part, for example
 *     {@code winding-resistance/LV}
 * @param criterion name of the criterion
 * @param state the outcome
 * @param measured the judged quantity, as the instrument sent it, or corrected where the criterion
 *     says so and then with 8 significant digits; of a comparison of phases the highest
 * @param expected what it was compared with, with 8 significant digits if it was computed; of
 *     excitation currents the second highest, of resistances the lowest
 * @param unit of measured and expected
 * @param deviation the figure that was held against the limit, measured minus expected, rounded to
 *     6 decimals after the decision
 * @param deviationUnit of deviation, limit and uncertainty
 * @param limit that holds for it
 * @param bound which side of the limit is good
 * @param uncertainty expanded
 * @param coverage the factor k that expanded it
 * @param conformance the probability that the true figure is on the good side of the limit, 0 to 1,
 *     with 4 decimals; nothing where the uncertainty is zero or nothing was decided
 * @param decisionRule how limit and uncertainty made the state
 * @param rule where the limit comes from
 * @param table name, version and digest of the criteria table
 * @param method version of this computation
 * @param readings ids of all readings that went in, phases A, B, C in this order; last, with
 *     excitation currents, a direct-current reading that came before them
 * @param bookings ids of their bookings, in the same order
 * @param findings what else was seen
 * @param sentence the judgement in words for a person
 * @param next what to do now
 * @param asOf when the last of its readings arrived
 */
public record Verdict(
    String id,
    String station,
    String testSet,
    String asset,
    String subject,
    String criterion,
    State state,
    Optional<BigDecimal> measured,
    Optional<BigDecimal> expected,
    Unit unit,
    Optional<BigDecimal> deviation,
    Unit deviationUnit,
    BigDecimal limit,
    Bound bound,
    BigDecimal uncertainty,
    BigDecimal coverage,
    Optional<BigDecimal> conformance,
    String decisionRule,
    Rule rule,
    TableReference table,
    String method,
    List<String> readings,
    List<String> bookings,
    List<Finding> findings,
    String sentence,
    String next,
    Instant asOf) {

  public Verdict {
    readings = List.copyOf(readings);
    bookings = List.copyOf(bookings);
    findings = List.copyOf(findings);
  }

  /** Returns the same with further findings. */
  public Verdict with(List<Finding> more) {
    List<Finding> all = new ArrayList<>(findings);
    all.addAll(more);
    return new Verdict(
        id,
        station,
        testSet,
        asset,
        subject,
        criterion,
        state,
        measured,
        expected,
        unit,
        deviation,
        deviationUnit,
        limit,
        bound,
        uncertainty,
        coverage,
        conformance,
        decisionRule,
        rule,
        table,
        method,
        readings,
        bookings,
        all,
        sentence,
        next,
        asOf);
  }

  /** Which table of criteria was applied. */
  public record TableReference(String name, String version, String digest) {}

  /** The outcome of a judgement. */
  public enum State {
    /** Within the limit by more than the uncertainty. */
    PASS,
    /** Within the limit, but by less than the uncertainty. */
    CONDITIONAL_PASS,
    /** Outside the limit, but by less than the uncertainty. */
    CONDITIONAL_FAIL,
    /** Outside the limit by more than the uncertainty. */
    FAIL,
    /** Cannot be judged: a value is missing or not settled; take it again. */
    UNDECIDED;

    private final String word = name().toLowerCase(Locale.ROOT).replace('_', '-');

    /** Returns the word for it in records, for example {@code conditional-pass}. */
    public String word() {
      return word;
    }

    /** Returns the state with the given word, or nothing if there is none. */
    public static Optional<State> of(String word) {
      return Arrays.stream(values()).filter(state -> state.word.equals(word)).findFirst();
    }

    /** Returns the state that an outcome of a decision is. */
    static State of(Outcome outcome) {
      return switch (outcome) {
        case PASS -> PASS;
        case CONDITIONAL_PASS -> CONDITIONAL_PASS;
        case CONDITIONAL_FAIL -> CONDITIONAL_FAIL;
        case FAIL -> FAIL;
      };
    }

    /** Tells whether the limit was kept. */
    public boolean passed() {
      return this == PASS || this == CONDITIONAL_PASS;
    }

    /** Tells whether the limit was broken. */
    public boolean failed() {
      return this == FAIL || this == CONDITIONAL_FAIL;
    }
  }
}
