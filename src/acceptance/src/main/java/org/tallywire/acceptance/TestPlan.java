package org.tallywire.acceptance;

import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.stream.IntStream;

/**
 * The steps to take with one transformer, in the order in which to take them.
 *
 * @param steps no two with the same id
 */
public record TestPlan(List<Step> steps) {

  public TestPlan {
    steps = List.copyOf(steps);
    if (steps.stream().map(Step::id).distinct().count() != steps.size()) {
      throw new IllegalArgumentException(
          "a test plan has two steps with one id: "
              + steps.stream().map(Step::id).sorted().toList());
    }
  }

  /** Returns the usual plan for a nameplate: ratio and winding resistance. */
  public static TestPlan of(Nameplate nameplate) {
    return of(nameplate, PlanOptions.USUAL);
  }

  /**
   * Returns the plan for a nameplate: the ratio of every phase on every position of each tap
   * changer, the other on its principal one, all phases of a position before the next; then
   * short-circuit impedance and insulation resistance; and last, because direct current leaves the
   * core magnetised and falsifies excitation currents (FIST 3-30, 9.3.3), winding resistance: HV,
   * LV, on the principal tap or on every tap of that side, all phases of a position before the
   * next. Excitation currents have no steps of their own: they are read with the ratios.
   *
   * <p>The expected ratio is that of the basis, with 30 significant digits, so that a record
   * carries it whole. The expected resistance is the nameplate's reference, if it has one, on the
   * principal tap alone; the expected impedance the plate's in %. A single-phase transformer has
   * steps for phase A alone.
   */
  public static TestPlan of(Nameplate nameplate, PlanOptions options) {
    return new TestPlan(new PlanWriter(nameplate, options).steps());
  }

  /**
   * Returns the id of a ratio step.
   *
   * @param onLoadTap with two tap changers
   */
  public static String ratioStep(String phase, int tap, OptionalInt onLoadTap) {
    return new TapSetting(tap, onLoadTap).ratioStep(phase);
  }

  /** Returns the step with the given id. */
  public Optional<Step> step(String id) {
    return steps.stream().filter(s -> s.id().equals(id)).findFirst();
  }

  /**
   * Tells whether another plan has the same steps with the same expected values in the same order:
   * what is said to the person who takes them may differ.
   */
  public boolean asksTheSame(TestPlan other) {
    return steps.size() == other.steps.size()
        && IntStream.range(0, steps.size())
            .allMatch(i -> asked(steps.get(i)).equals(asked(other.steps.get(i))));
  }

  private static Step asked(Step step) {
    return new Step(
        step.id(),
        step.test(),
        step.windings(),
        step.phase(),
        step.tap(),
        step.onLoadTap(),
        "",
        step.expected(),
        step.unit(),
        Optional.empty());
  }
}
