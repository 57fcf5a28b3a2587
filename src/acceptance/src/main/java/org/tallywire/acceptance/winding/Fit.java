package org.tallywire.acceptance.winding;

import java.math.BigDecimal;
import java.math.RoundingMode;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.tallywire.acceptance.figure.Percent;
import org.tallywire.acceptance.winding.Expectation.NoVoltage;
import org.tallywire.acceptance.winding.Expectation.Ratio;
import org.tallywire.acceptance.winding.Expectation.ShortCircuit;
import org.tallywire.acceptance.winding.Observation.Sense;

/**
 * A suspect held against every observation.
 *
 * @param suspect the suspect
 * @param marks one for each observation
 * @param deviations in %, not rounded; empty where there is no ratio to compare with
 */
record Fit(Suspect suspect, List<Mark> marks, List<Optional<BigDecimal>> deviations) {

  private static final int PLACES = 4;

  /** What an observation says of a suspect. */
  enum Mark {
    FITS,
    OPEN,
    CONTRADICTS
  }

  /** Holds a suspect against observations. */
  static Fit of(
      Suspect suspect, Suspect rated, List<Observation> observations, RatedConnection plate) {
    List<Mark> marks = new ArrayList<>();
    List<Optional<BigDecimal>> deviations = new ArrayList<>();
    for (Observation observation : observations) {
      Optional<Expectation> shown = suspect.shows(observation.leads(), plate.core());
      deviations.add(deviation(observation, shown));
      Mark mark = mark(observation, shown, plate);
      if (mark == Mark.OPEN && promised(observation, rated, plate)) {
        mark = Mark.CONTRADICTS;
      }
      marks.add(mark);
    }
    return new Fit(suspect, marks, deviations);
  }

  /** Tells whether a ratio is what the plate promises: one left to reluctances would hardly be. */
  private static boolean promised(Observation observation, Suspect rated, RatedConnection plate) {
    Observation withoutSense =
        new Observation(observation.leads(), observation.ratio(), Optional.empty());
    return deviation(withoutSense, rated.shows(observation.leads(), plate.core()))
        .filter(d -> d.abs().compareTo(plate.tolerance()) <= 0)
        .isPresent();
  }

  /** Returns the deviation, with a measured ratio of the wrong sense taken as negative. */
  private static Optional<BigDecimal> deviation(
      Observation observation, Optional<Expectation> shown) {
    if (shown.isEmpty() || !(shown.get() instanceof Ratio r)) {
      return Optional.empty();
    }
    boolean wrongSense =
        observation.sense().filter(s -> (s == Sense.IN_PHASE) != r.inPhase()).isPresent();
    return observation
        .ratio()
        .map(measured -> Percent.off(wrongSense ? measured.negate() : measured, r.ratio()));
  }

  private static Mark mark(
      Observation observation, Optional<Expectation> shown, RatedConnection plate) {
    if (shown.isEmpty()) {
      return Mark.OPEN;
    }
    if (observation.ratio().isEmpty()) {
      boolean nothing = shown.get() instanceof NoVoltage || shown.get() instanceof ShortCircuit;
      return nothing ? Mark.FITS : Mark.CONTRADICTS;
    }
    return deviation(observation, shown)
            .filter(d -> d.abs().compareTo(plate.tolerance()) <= 0)
            .isPresent()
        ? Mark.FITS
        : Mark.CONTRADICTS;
  }

  /** Tells whether no observation contradicts it, and one at least speaks for it. */
  boolean fits() {
    return count(Mark.CONTRADICTS) == 0 && count(Mark.FITS) > 0;
  }

  int count(Mark mark) {
    return (int) marks.stream().filter(m -> m == mark).count();
  }

  /** Returns how many observations have no deviation. */
  long incomparable() {
    return deviations.stream().filter(Optional::isEmpty).count();
  }

  /** Returns the size of the worst deviation, zero if there is none. */
  BigDecimal worstSize() {
    return worst().abs();
  }

  /** Returns the deviation farthest from zero, to four decimals. */
  private BigDecimal worst() {
    BigDecimal worst = BigDecimal.ZERO;
    for (Optional<BigDecimal> deviation : deviations) {
      if (deviation.isPresent() && deviation.get().abs().compareTo(worst.abs()) > 0) {
        worst = deviation.get();
      }
    }
    return rounded(worst);
  }

  private static BigDecimal rounded(BigDecimal percent) {
    return percent.setScale(PLACES, RoundingMode.HALF_EVEN);
  }

  /** Returns which observations contradict it. */
  List<Integer> contradictions() {
    List<Integer> at = new ArrayList<>();
    for (int i = 0; i < marks.size(); i++) {
      if (marks.get(i) == Mark.CONTRADICTS) {
        at.add(i);
      }
    }
    return at;
  }

  /** Returns what is handed out. */
  Hypothesis hypothesis(WindingGroup plate, List<Integer> toldApart) {
    String verb = fits() ? "The readings fit" : "The readings are nearest to";
    String sentence = suspect.sentence(plate, verb);
    int open = count(Mark.OPEN);
    if (open > 0) {
      sentence +=
          " %d of %d readings depend on reluctances then and neither confirm nor deny it."
              .formatted(open, marks.size());
    }
    return new Hypothesis(
        suspect.kind(),
        sentence,
        suspect.group(),
        deviations.stream().map(d -> d.map(Fit::rounded)).toList(),
        worst(),
        count(Mark.FITS),
        open,
        toldApart);
  }
}
