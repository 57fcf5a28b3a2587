package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;
import org.tallywire.acceptance.Nameplate.ResistanceReference;
import org.tallywire.acceptance.PlanOptions.ResistanceTaps;
import org.tallywire.acceptance.winding.LeadPlan;
import org.tallywire.acceptance.winding.WindingGroup;
import org.tallywire.acceptance.winding.WindingGroup.Connection;
import org.tallywire.api.Unit;

/** Writes the steps of a test plan. */
final class PlanWriter {

  /** The most that always fits the 32 characters of a decimal in a record. */
  private static final MathContext EXPECTED = new MathContext(30, RoundingMode.HALF_EVEN);

  // S11 of the sources: IEEE 43 (memory)
  private static final String AFTER_INSULATION =
      "Afterwards discharge the winding through the instrument and keep it earthed for at least as"
          + " long as the voltage was on.";

  // common practice
  private static final String BEFORE_DIRECT_CURRENT =
      "Wait until the current is zero before a lead comes off.";

  // S12 of the sources: common practice
  private static final String MOVED_UNDER_CURRENT =
      "Moving a tap changer can interrupt the direct current: bring it to zero before each move,"
          + " unless the instrument is made to watch the current over the move.";

  // S13 of the sources: F. de León et al. 2015 (found)
  private static final String AFTER_DIRECT_CURRENT =
      "This is the last direct current: afterwards demagnetise the core, before any excitation"
          + " current is read again and before the unit is energised; a core left magnetised draws"
          + " a high inrush current.";

  // E3 of the sources: FIST 3-30, 9.3.3 (found); E6: common practice
  private static final String WITH_THE_RATIO =
      "Read the excitation current and the test voltage in the same test as the ratio, all phases"
          + " of a tap at one voltage, and before any direct current: what that leaves in the core"
          + " falsifies them.";

  // common practice
  private static final String BEFORE_SHORT_CIRCUIT =
      "Put the short on, and take it off, with the unit de-energised and earthed; it must carry the"
          + " whole LV current.";

  private final Nameplate plate;
  private final PlanOptions options;
  private final WindingGroup group;
  private final LeadPlan leads;

  PlanWriter(Nameplate plate, PlanOptions options) {
    this.plate = plate;
    this.options = options;
    this.group = plate.group();
    this.leads = LeadPlan.of(group);
  }

  List<Step> steps() {
    List<Step> steps = new ArrayList<>();
    for (PlanOptions.TestKind test : options.tests()) {
      switch (test) {
        case TURNS_RATIO -> ratios(steps);
        case SHORT_CIRCUIT_IMPEDANCE -> steps.add(impedance());
        case INSULATION_RESISTANCE -> insulation(steps);
        case WINDING_RESISTANCE -> resistances(steps);
      }
    }
    return steps;
  }

  private void ratios(List<Step> steps) {
    int first = steps.size();
    for (TapSetting setting : TapSetting.all(plate.tapChangers())) {
      for (String phase : group.phases()) {
        steps.add(
            new Step(
                setting.ratioStep(phase),
                Step.TURNS_RATIO,
                Step.HV_LV,
                phase,
                OptionalInt.of(setting.tap()),
                setting.onLoadTap(),
                leads.terminals(phase),
                Optional.of(expectedRatio(setting)),
                Unit.ONE,
                noteOfMoving()));
      }
    }
    steps.set(first, steps.get(first).noted(WITH_THE_RATIO));
  }

  private BigDecimal expectedRatio(TapSetting setting) {
    BigDecimal factor =
        switch (options.basis()) {
          case TERMINALS -> leads.readingFactor();
          case WINDING -> group.windingRatioFactor();
          case LINE -> BigDecimal.ONE;
        };
    return plate
        .voltage(Side.HV, setting)
        .multiply(factor)
        .divide(plate.voltage(Side.LV, setting), EXPECTED);
  }

  private void resistances(List<Step> steps) {
    for (Side side : Side.values()) {
      for (Optional<TapSetting> setting : settings(side)) {
        for (String phase : group.phases()) {
          steps.add(resistance(side, setting, phase));
        }
      }
    }
    int last = steps.size() - 1;
    steps.set(last, steps.get(last).noted(AFTER_DIRECT_CURRENT));
  }

  /** Returns the settings in which a winding is measured; one without taps in any. */
  private List<Optional<TapSetting>> settings(Side side) {
    List<TapChanger> changers = plate.tapChangers();
    if (changers.stream().noneMatch(changer -> changer.side() == side)) {
      return List.of(Optional.empty());
    }
    TapSetting principal = TapSetting.principal(changers);
    return options.resistanceTaps() == ResistanceTaps.PRINCIPAL
        ? List.of(Optional.of(principal))
        : TapSetting.all(changers).stream()
            .filter(setting -> movesOnly(setting, principal, side))
            .map(Optional::of)
            .toList();
  }

  /** Tells whether every tap changer of the other side is on its principal position. */
  private boolean movesOnly(TapSetting setting, TapSetting principal, Side side) {
    List<TapChanger> changers = plate.tapChangers();
    return (changers.get(0).side() == side || setting.tap() == principal.tap())
        && (changers.size() == 1
            || changers.get(1).side() == side
            || setting.onLoadTap().equals(principal.onLoadTap()));
  }

  private Step resistance(Side side, Optional<TapSetting> setting, String phase) {
    boolean principal =
        setting.isEmpty() || setting.get().equals(TapSetting.principal(plate.tapChangers()));
    Optional<String> moving = setting.flatMap(s -> noteOfMoving());
    if (setting.isPresent() && options.resistanceTaps() == ResistanceTaps.EVERY) {
      moving = Optional.of(noteOf(moving, MOVED_UNDER_CURRENT));
    }
    return new Step(
        Step.WINDING_RESISTANCE
            + "/"
            + side
            + "/"
            + phase
            + setting.map(TapSetting::suffix).orElse(""),
        Step.WINDING_RESISTANCE,
        side.name(),
        phase,
        setting.map(s -> OptionalInt.of(s.tap())).orElse(OptionalInt.empty()),
        setting.map(TapSetting::onLoadTap).orElse(OptionalInt.empty()),
        leads.resistance(side == Side.HV, phase),
        plate
            .reference(side.name(), phase)
            .filter(reference -> principal)
            .map(ResistanceReference::ohms),
        Unit.OHM,
        Optional.of(noteOf(moving, BEFORE_DIRECT_CURRENT)));
  }

  /** On the principal tap. */
  private Step impedance() {
    TapSetting setting = TapSetting.principal(plate.tapChangers());
    return new Step(
        Step.SHORT_CIRCUIT_IMPEDANCE + "/" + Step.HV_LV + "/" + phasesTogether() + setting.suffix(),
        Step.SHORT_CIRCUIT_IMPEDANCE,
        Step.HV_LV,
        phasesTogether(),
        OptionalInt.of(setting.tap()),
        setting.onLoadTap(),
        "%s fed, %s shorted".formatted(lines(Side.HV, "-"), lines(Side.LV, "+")),
        plate.impedancePercent(),
        Unit.PERCENT,
        Optional.of(noteOf(noteOfMoving(), BEFORE_SHORT_CIRCUIT)));
  }

  /** With the third part on guard, so that each value is of one insulation alone (practice). */
  private void insulation(List<Step> steps) {
    String hv = joined(Side.HV);
    String lv = joined(Side.LV);
    steps.add(insulation(Step.HV_LV, "%s / %s, guard on the tank".formatted(hv, lv)));
    steps.add(insulation(Step.HV_EARTH, "%s / tank and earth, guard on %s".formatted(hv, lv)));
    steps.add(insulation(Step.LV_EARTH, "%s / tank and earth, guard on %s".formatted(lv, hv)));
  }

  private Step insulation(String windings, String terminals) {
    return new Step(
        Step.INSULATION_RESISTANCE + "/" + windings + "/" + phasesTogether(),
        Step.INSULATION_RESISTANCE,
        windings,
        phasesTogether(),
        OptionalInt.empty(),
        OptionalInt.empty(),
        terminals,
        Optional.empty(),
        Unit.MEGOHM,
        Optional.of(AFTER_INSULATION));
  }

  private String phasesTogether() {
    return singlePhase() ? group.phases().get(0) : Step.ALL_PHASES;
  }

  private boolean singlePhase() {
    return group.hv() == Connection.SINGLE;
  }

  /** Returns every terminal of a side, joined. */
  private String joined(Side side) {
    boolean neutral = side == Side.HV ? group.hvNeutral() : group.lvNeutral();
    String lines = lines(side, "+");
    return neutral ? lines + (side == Side.HV ? "+1N" : "+2n") : lines;
  }

  private String lines(Side side, String between) {
    List<String> terminals =
        singlePhase()
            ? side == Side.HV ? List.of("1.1", "1.2") : List.of("2.1", "2.2")
            : side == Side.HV ? List.of("1U", "1V", "1W") : List.of("2u", "2v", "2w");
    return String.join(between, terminals);
  }

  /** Says how a de-energised tap changer is moved, if the unit has one to move. */
  private Optional<String> noteOfMoving() {
    boolean moved =
        plate.tapChangers().stream()
            .anyMatch(c -> c.kind() == TapChanger.Kind.DE_ENERGISED && c.taps().size() > 1);
    return moved
        ? Optional.of(
            "Move the de-energised tap changer only with the unit de-energised and the test"
                + " current off and at zero.")
        : Optional.empty();
  }

  private static String noteOf(Optional<String> first, String then) {
    return first.map(note -> note + " " + then).orElse(then);
  }
}
