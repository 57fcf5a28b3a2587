package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;
import org.tallywire.acceptance.Nameplate.ResistanceReference;
import org.tallywire.acceptance.TapChanger.Tap;
import org.tallywire.acceptance.winding.LeadPlan;
import org.tallywire.api.Unit;

/**
 * The steps to take with one transformer, in the order in which to take them.
 *
 * @param steps no two with the same id
 */
public record TestPlan(List<Step> steps) {

  /** The most that always fits the 32 characters of a decimal in a record. */
  private static final MathContext EXPECTED = new MathContext(30, RoundingMode.HALF_EVEN);

  public TestPlan {
    steps = List.copyOf(steps);
    if (steps.stream().map(Step::id).distinct().count() != steps.size()) {
      throw new IllegalArgumentException(
          "a test plan has two steps with one id: "
              + steps.stream().map(Step::id).sorted().toList());
    }
  }

  /**
   * Returns the plan for a nameplate: the ratio of every phase on every tap, all phases of a tap
   * before the next tap; then, because direct current leaves the core magnetised and falsifies
   * excitation currents (FIST 3-30, 9.3.3), winding resistance: HV on the principal tap, LV.
   *
   * <p>The expected ratio is what the step's terminals read: the winding ratio, but with a zigzag
   * winding or with tied terminals the ratio of those terminals' voltages. All expected ratios have
   * 30 significant digits, so that a record carries them whole. The expected resistance is the
   * nameplate's reference, if it has one. A single-phase transformer has steps for phase A alone.
   */
  public static TestPlan of(Nameplate nameplate) {
    List<Step> steps = new ArrayList<>();
    for (Tap tap : nameplate.tapChanger().taps()) {
      for (String phase : nameplate.group().phases()) {
        steps.add(ratio(nameplate, tap, phase));
      }
    }
    for (String windings : List.of(Step.HV, Step.LV)) {
      for (String phase : nameplate.group().phases()) {
        steps.add(resistance(nameplate, windings, phase));
      }
    }
    return new TestPlan(steps);
  }

  /** Returns the step with the given id. */
  public Optional<Step> step(String id) {
    return steps.stream().filter(s -> s.id().equals(id)).findFirst();
  }

  private static Step ratio(Nameplate nameplate, Tap tap, String phase) {
    LeadPlan leads = LeadPlan.of(nameplate.group());
    boolean onHv = nameplate.tapChanger().side() == Side.HV;
    BigDecimal hv = onHv ? tap.voltage() : nameplate.hvVoltage();
    BigDecimal lv = onHv ? nameplate.lvVoltage() : tap.voltage();
    BigDecimal expected = hv.multiply(leads.readingFactor()).divide(lv, EXPECTED);
    return new Step(
        "%s/%s/%s/%d".formatted(Step.TURNS_RATIO, Step.HV_LV, phase, tap.position()),
        Step.TURNS_RATIO,
        Step.HV_LV,
        phase,
        OptionalInt.of(tap.position()),
        leads.terminals(phase),
        Optional.of(expected),
        Unit.ONE);
  }

  private static Step resistance(Nameplate nameplate, String windings, String phase) {
    boolean hv = windings.equals(Step.HV);
    String id = "%s/%s/%s".formatted(Step.WINDING_RESISTANCE, windings, phase);
    return new Step(
        hv ? id + "/" + nameplate.tapChanger().principal() : id,
        Step.WINDING_RESISTANCE,
        windings,
        phase,
        hv ? OptionalInt.of(nameplate.tapChanger().principal()) : OptionalInt.empty(),
        LeadPlan.of(nameplate.group()).resistance(hv, phase),
        nameplate.reference(windings, phase).map(ResistanceReference::ohms),
        Unit.OHM);
  }
}
