package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;
import org.tallywire.api.Unit;

/**
 * One measurement of a test plan.
 *
 * @param id {@code test/windings/phase}, and {@code /tap} or {@code /tap/on-load-tap} where the tap
 *     matters
 * @param test {@code turns-ratio}, {@code winding-resistance}, {@code insulation-resistance} or
 *     {@code short-circuit-impedance}
 * @param windings {@code HV-LV}, {@code HV}, {@code LV}, {@code HV-earth} or {@code LV-earth}
 * @param phase A, B or C; ABC where all are measured together
 * @param tap the tap changer position it is taken on, where that matters; with two tap changers
 *     that of the de-energised one
 * @param onLoadTap likewise of the on-load tap changer, with two
 * @param terminals where the leads go, for example {@code 1U-1V / 2u-2n}
 * @param expected the value the plate promises, if it promises one, in the unit; above zero
 * @param unit of the expected value
 * @param note what to mind while it is taken, if there is something
 */
public record Step(
    String id,
    String test,
    String windings,
    String phase,
    OptionalInt tap,
    OptionalInt onLoadTap,
    String terminals,
    Optional<BigDecimal> expected,
    Unit unit,
    Optional<String> note) {

  public static final String TURNS_RATIO = "turns-ratio";
  public static final String WINDING_RESISTANCE = "winding-resistance";
  public static final String INSULATION_RESISTANCE = "insulation-resistance";
  public static final String SHORT_CIRCUIT_IMPEDANCE = "short-circuit-impedance";

  static final String HV_LV = "HV-LV";
  static final String HV = "HV";
  static final String LV = "LV";
  static final String HV_EARTH = "HV-earth";
  static final String LV_EARTH = "LV-earth";
  static final List<String> PHASES = List.of("A", "B", "C");

  /** All phases together. */
  static final String ALL_PHASES = "ABC";

  public Step {
    if (!PHASES.contains(phase) && !phase.equals(ALL_PHASES)) {
      throw new IllegalArgumentException(
          "step %s is on phase \"%s\"; phases are A, B, C and %s, all together"
              .formatted(id, phase, ALL_PHASES));
    }
    if (onLoadTap.isPresent() && tap.isEmpty()) {
      throw new IllegalArgumentException(
          "step %s has on-load tap %d and no tap of the de-energised tap changer"
              .formatted(id, onLoadTap.getAsInt()));
    }
    if (expected.isPresent() && expected.get().signum() <= 0) {
      throw new IllegalArgumentException(
          "step %s expects %s, which is not above zero".formatted(id, expected.get()));
    }
  }

  /** A step with at most one tap changer and without a note. */
  public Step(
      String id,
      String test,
      String windings,
      String phase,
      OptionalInt tap,
      String terminals,
      Optional<BigDecimal> expected,
      Unit unit) {
    this(
        id,
        test,
        windings,
        phase,
        tap,
        OptionalInt.empty(),
        terminals,
        expected,
        unit,
        Optional.empty());
  }

  /** Returns the step with a sentence added to its note. */
  Step noted(String sentence) {
    return new Step(
        id,
        test,
        windings,
        phase,
        tap,
        onLoadTap,
        terminals,
        expected,
        unit,
        Optional.of(note.map(before -> before + " " + sentence).orElse(sentence)));
  }

  /** Returns the id without its phase: what the steps of a comparison of phases have in common. */
  String common() {
    return test + "/" + windings + TapSetting.of(this).map(TapSetting::suffix).orElse("");
  }

  /** Returns the id without its taps: what the steps of one phase on all taps have in common. */
  String onEveryTap() {
    return test + "/" + windings + "/" + phase;
  }

  /** Returns a number that grows with the tap and, on one tap, with the on-load tap. */
  int tapNumber() {
    return tap.orElse(0) * (TapChanger.LAST_POSITION + 1) + onLoadTap.orElse(0);
  }

  /** Returns the step as a person says it: {@code HV-LV A tap 3}, {@code HV-earth}. */
  public String inWords() {
    StringBuilder words = new StringBuilder(windings);
    if (!phase.equals(ALL_PHASES)) {
      words.append(' ').append(phase);
    }
    tap.ifPresent(position -> words.append(" tap ").append(position));
    onLoadTap.ifPresent(position -> words.append(" on-load tap ").append(position));
    return words.toString();
  }
}
