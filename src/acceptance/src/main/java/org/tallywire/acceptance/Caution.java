package org.tallywire.acceptance;

import java.util.ArrayList;
import java.util.List;
import org.tallywire.acceptance.Rule.Certainty;

/**
 * What to mind for the safety of people in these tests. Not a work procedure: the law, the site's
 * rules and qualified persons come first.
 *
 * @param sentence what to mind
 * @param source who says so
 * @param certainty whether anybody of this project has read it there
 */
public record Caution(String sentence, String source, Certainty certainty) {

  /** What comes before all cautions. */
  public static final String FIRST =
      "Local law, the site's rules, the makers' instructions and the judgement of licensed and"
          + " qualified persons come first. This is no work procedure, and this program is no"
          + " safety function.";

  /** Returns those that go with the tests of a plan. */
  public static List<Caution> of(TestPlan plan) {
    List<Caution> cautions = new ArrayList<>(always());
    if (has(plan, Step.TURNS_RATIO)) {
      cautions.add(
          practice(
              "The ratio steps a voltage up as well as down: a test voltage put on the LV side by"
                  + " mistake stands on the open HV terminals times the ratio. Excite the HV side,"
                  + " check which lead is which, and keep clear of every bushing."));
    }
    if (has(plan, Step.WINDING_RESISTANCE)) {
      cautions.add(
          new Caution(
              "A winding that carries direct current stores energy, hundreds of joules in a large"
                  + " one; a circuit that is broken gives a voltage that only the arc limits. Bring"
                  + " the current to zero through the source before any clip, of current or"
                  + " potential, is touched.",
              "IEEE C57.12.91-2001 for the inductive kick; the rest common practice",
              Certainty.FOUND));
    }
    if (has(plan, Step.INSULATION_RESISTANCE)) {
      cautions.add(
          new Caution(
              "After an insulation test a winding holds charge: discharge it through the tester and"
                  + " keep it shorted to earth for at least as long as the test; four times as long"
                  + " is often asked.",
              "IEEE 43",
              Certainty.MEMORY));
    }
    return List.copyOf(cautions);
  }

  private static List<Caution> always() {
    return List.of(
        new Caution(
            "A conductor counts as live until it is tested dead or earthed.",
            "29 CFR 1910.333(b)(1), 1926.954(a)",
            Certainty.FOUND),
        new Caution(
            "The unit is cut off from every source, of HV and of LV, and locked or tagged; buttons,"
                + " selector switches and interlocks do not isolate.",
            "29 CFR 1910.333(b)(2)(ii)",
            Certainty.FOUND),
        new Caution(
            "A qualified person tests for absence of voltage, induced and fed back too; above 600 V"
                + " the tester is proved before and after.",
            "US DOE Electrical Safety handbook, 2.13.2.1; 29 CFR 1910.333(b)(2)(iv), from memory",
            Certainty.FOUND),
        new Caution(
            "People are kept out of the test area by barriers, by tape with signs, or by someone"
                + " who watches.",
            "29 CFR 1926.963(c), from summaries",
            Certainty.FOUND),
        practice(
            "Instrument and tank are earthed; windings that are not under test are shorted and"
                + " earthed, or open, as the test asks, never both at once."));
  }

  private static Caution practice(String sentence) {
    return new Caution(sentence, "common practice", Certainty.PRACTICE);
  }

  private static boolean has(TestPlan plan, String test) {
    return plan.steps().stream().anyMatch(step -> step.test().equals(test));
  }
}
