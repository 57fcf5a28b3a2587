package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;
import org.tallywire.api.Unit;

/**
 * One measurement of a test plan.
 *
 * @param id {@code test/windings/phase} and {@code /tap} where the tap matters
 * @param test {@code turns-ratio} or {@code winding-resistance}
 * @param windings {@code HV-LV}, {@code HV} or {@code LV}
 * @param phase A, B or C
 * @param tap the tap changer position it is taken on, where that matters
 * @param terminals where the leads go, for example {@code 1U-1V / 2u-2n}
 * @param expected the value the plate promises, if it promises one, in the unit; above zero
 * @param unit of the expected value
 */
public record Step(
    String id,
    String test,
    String windings,
    String phase,
    OptionalInt tap,
    String terminals,
    Optional<BigDecimal> expected,
    Unit unit) {

  public static final String TURNS_RATIO = "turns-ratio";
  public static final String WINDING_RESISTANCE = "winding-resistance";

  static final String HV_LV = "HV-LV";
  static final String HV = "HV";
  static final String LV = "LV";
  static final List<String> PHASES = List.of("A", "B", "C");

  public Step {
    if (!PHASES.contains(phase)) {
      throw new IllegalArgumentException(
          "step %s is on phase \"%s\"; phases are A, B and C".formatted(id, phase));
    }
    if (expected.isPresent() && expected.get().signum() <= 0) {
      throw new IllegalArgumentException(
          "step %s expects %s, which is not above zero".formatted(id, expected.get()));
    }
  }

  /** Returns the id without its phase: what the steps of a comparison of phases have in common. */
  String common() {
    String common = test + "/" + windings;
    return tap.isPresent() ? common + "/" + tap.getAsInt() : common;
  }

  /** Returns the id without its tap: what the steps of one phase on all taps have in common. */
  String onEveryTap() {
    return test + "/" + windings + "/" + phase;
  }

  int tapNumber() {
    return tap.orElse(0);
  }
}
