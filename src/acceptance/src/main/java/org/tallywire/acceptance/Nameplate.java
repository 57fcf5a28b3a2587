package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.HashSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.Set;
import java.util.TreeMap;
import org.tallywire.acceptance.TapChanger.Tap;
import org.tallywire.acceptance.related.Rating;
import org.tallywire.acceptance.resistance.Celsius;
import org.tallywire.acceptance.resistance.Conductor;
import org.tallywire.acceptance.winding.WindingGroup;

/**
 * A transformer as its plate states it. Numbers that cannot be are refused, all of them in one
 * {@link IllegalArgumentException}.
 *
 * @param asset the owner's number for it, 1 to 64 characters
 * @param group the winding group, for example Dyn11
 * @param ratedPower in kVA
 * @param hvVoltage rated line-to-line voltage of the HV side on the principal tap, in V; not below
 *     that of the LV side; single-phase that of the winding, here and in the taps
 * @param lvVoltage rated line-to-line voltage of the LV side, in V
 * @param frequency in Hz
 * @param tapChangers one; or two, a de-energised and an on-load one, kept in this order; a unit
 *     without has one with a single position
 * @param hvConductor what the HV winding is made of
 * @param lvConductor what the LV winding is made of
 * @param referenceTemperature to which resistances are corrected, in °C, −50 to 250
 * @param impedancePercent the short-circuit impedance on the principal tap, if the plate states it
 * @param noLoadCurrentPercent of the rated current, if known
 * @param lvTurns turns of one LV phase winding, if known; they decide what the nearest turn is
 * @param core how its limbs go together; that of a single-phase unit is single-phase
 * @param references earlier or factory values of winding resistance to compare with, at most one
 *     for each phase of a side
 * @param earlierRatios ratios of an earlier test set to compare with, by the id of the step, which
 *     must be one of the plan
 * @param hvCurrent rated line current of the HV side on the principal tap, in A, if the plate
 *     states it
 * @param lvCurrent likewise of the LV side
 */
public record Nameplate(
    String asset,
    WindingGroup group,
    BigDecimal ratedPower,
    BigDecimal hvVoltage,
    BigDecimal lvVoltage,
    BigDecimal frequency,
    List<TapChanger> tapChangers,
    Conductor hvConductor,
    Conductor lvConductor,
    BigDecimal referenceTemperature,
    Optional<BigDecimal> impedancePercent,
    Optional<BigDecimal> noLoadCurrentPercent,
    OptionalInt lvTurns,
    CoreForm core,
    List<ResistanceReference> references,
    Map<String, BigDecimal> earlierRatios,
    Optional<BigDecimal> hvCurrent,
    Optional<BigDecimal> lvCurrent) {

  private static final int LONGEST_ASSET = 64;

  public Nameplate {
    tapChangers = tapChangers.stream().sorted(Comparator.comparing(TapChanger::kind)).toList();
    earlierRatios = Map.copyOf(earlierRatios);
    references = List.copyOf(references);
    List<String> problems = new ArrayList<>();
    if (asset.isBlank() || asset.length() > LONGEST_ASSET) {
      problems.add(
          "the asset has %d characters%s, not 1 to %d"
              .formatted(asset.length(), asset.isBlank() ? ", all blank" : "", LONGEST_ASSET));
    }
    positive(problems, "rated power", ratedPower, "kVA");
    positive(problems, "HV voltage", hvVoltage, "V");
    positive(problems, "LV voltage", lvVoltage, "V");
    positive(problems, "frequency", frequency, "Hz");
    impedancePercent.ifPresent(z -> positive(problems, "impedance", z, "%"));
    if (hvVoltage.compareTo(lvVoltage) < 0) {
      problems.add(
          "the HV voltage of %s V is below the LV voltage of %s V: HV is the higher of the two"
              .formatted(hvVoltage, lvVoltage));
    }
    if (!Celsius.plausible(referenceTemperature)) {
      problems.add(
          "the reference temperature is %s °C, not %s"
              .formatted(referenceTemperature, Celsius.RANGE));
    }
    noLoadCurrentPercent.ifPresent(i -> positive(problems, "no-load current", i, "%"));
    hvCurrent.ifPresent(i -> positive(problems, "HV current", i, "A"));
    lvCurrent.ifPresent(i -> positive(problems, "LV current", i, "A"));
    checkInside(problems, group, lvTurns, core);
    checkTapChangers(problems, tapChangers);
    for (TapChanger changer : tapChangers) {
      checkTaps(problems, changer, changer.side() == Side.HV ? hvVoltage : lvVoltage);
    }
    checkReferences(problems, references, group);
    checkEarlier(problems, earlierRatios, tapChangers, group);
    if (!problems.isEmpty()) {
      throw new IllegalArgumentException(
          "the nameplate of \"%s\" cannot be: %s".formatted(asset, String.join("; ", problems)));
    }
  }

  /** A plate that states no rated currents. */
  public Nameplate(
      String asset,
      WindingGroup group,
      BigDecimal ratedPower,
      BigDecimal hvVoltage,
      BigDecimal lvVoltage,
      BigDecimal frequency,
      List<TapChanger> tapChangers,
      Conductor hvConductor,
      Conductor lvConductor,
      BigDecimal referenceTemperature,
      Optional<BigDecimal> impedancePercent,
      Optional<BigDecimal> noLoadCurrentPercent,
      OptionalInt lvTurns,
      CoreForm core,
      List<ResistanceReference> references,
      Map<String, BigDecimal> earlierRatios) {
    this(
        asset,
        group,
        ratedPower,
        hvVoltage,
        lvVoltage,
        frequency,
        tapChangers,
        hvConductor,
        lvConductor,
        referenceTemperature,
        impedancePercent,
        noLoadCurrentPercent,
        lvTurns,
        core,
        references,
        earlierRatios,
        Optional.empty(),
        Optional.empty());
  }

  /**
   * Returns the rated line current of a side on the principal tap that follows from rated power and
   * voltage, in A.
   */
  public BigDecimal computedCurrent(Side side) {
    return new Rating(
            group.hv() != WindingGroup.Connection.SINGLE,
            ratedPower.movePointRight(3),
            side == Side.HV ? hvVoltage : lvVoltage)
        .current();
  }

  /** Returns the reference value of a phase of a side, if the nameplate has one. */
  public Optional<ResistanceReference> reference(String windings, String phase) {
    return references.stream()
        .filter(r -> r.windings().equals(windings) && r.phase().equals(phase))
        .findFirst();
  }

  /** Returns the tap changer that most units have alone; of two, the de-energised one. */
  TapChanger tapChanger() {
    return tapChangers.get(0);
  }

  /**
   * Returns the line-to-line voltage of a side in a tap setting. Two tap changers on one side add
   * up what each adds to the rated voltage, since their turns add up (derived).
   *
   * @throws IllegalArgumentException if a tap changer has no such position
   */
  BigDecimal voltage(Side side, TapSetting setting) {
    BigDecimal rated = side == Side.HV ? hvVoltage : lvVoltage;
    BigDecimal voltage = rated;
    for (int i = 0; i < tapChangers.size(); i++) {
      TapChanger changer = tapChangers.get(i);
      if (changer.side() == side) {
        int position = i == 0 ? setting.tap() : setting.onLoadTap().orElse(changer.principal());
        BigDecimal there =
            changer
                .voltage(position)
                .orElseThrow(
                    () ->
                        new IllegalArgumentException(
                            "there is no tap position %d on the %s side"
                                .formatted(position, side)));
        voltage = voltage.add(there).subtract(rated);
      }
    }
    return voltage;
  }

  /** Returns the HV line-to-line voltage over the LV one in a tap setting, to 34 digits. */
  BigDecimal lineRatio(TapSetting setting) {
    return voltage(Side.HV, setting).divide(voltage(Side.LV, setting), MathContext.DECIMAL128);
  }

  private static void checkInside(
      List<String> problems, WindingGroup group, OptionalInt lvTurns, CoreForm core) {
    if (lvTurns.isPresent() && lvTurns.getAsInt() < 1) {
      problems.add("the LV winding has %d turns, not 1 or more".formatted(lvTurns.getAsInt()));
    }
    if (group.hv() == WindingGroup.Connection.SINGLE && core != CoreForm.SINGLE_PHASE) {
      problems.add("group %s is single-phase, yet the core is %s".formatted(group, core.word()));
    }
  }

  private static void checkTapChangers(List<String> problems, List<TapChanger> changers) {
    if (changers.isEmpty()) {
      problems.add("there is no tap position; give one");
    }
    if (changers.size() > 2) {
      problems.add("there are %d tap changers, not one or two".formatted(changers.size()));
    }
    if (changers.size() == 2 && changers.get(0).kind() == changers.get(1).kind()) {
      problems.add(
          "both tap changers are %s; of two, one is de-energised and one on-load"
              .formatted(changers.get(0).kind().word()));
    }
  }

  private static void checkTaps(List<String> problems, TapChanger changer, BigDecimal rated) {
    Set<Integer> positions = new HashSet<>();
    for (Tap tap : changer.taps()) {
      if (tap.position() < 1 || tap.position() > TapChanger.LAST_POSITION) {
        problems.add(
            "tap position %d is not 1 to %d".formatted(tap.position(), TapChanger.LAST_POSITION));
      }
      if (!positions.add(tap.position())) {
        problems.add("tap position %d is there twice".formatted(tap.position()));
      }
      positive(problems, "tap " + tap.position() + " voltage", tap.voltage(), "V");
      if (tap.position() == changer.principal() && tap.voltage().compareTo(rated) != 0) {
        problems.add(
            "principal tap %d has %s V but the rated %s voltage is %s V"
                .formatted(changer.principal(), tap.voltage(), changer.side(), rated));
      }
    }
    if (!positions.contains(changer.principal())) {
      problems.add("principal tap %d is not among the taps".formatted(changer.principal()));
    }
  }

  private static void checkReferences(
      List<String> problems, List<ResistanceReference> references, WindingGroup group) {
    Set<String> seen = new HashSet<>();
    for (ResistanceReference r : references) {
      String where = r.windings() + " phase " + r.phase();
      if (!List.of(Step.HV, Step.LV).contains(r.windings())
          || !group.phases().contains(r.phase())) {
        problems.add(
            "a reference resistance is for %s, not for HV or LV, phase %s"
                .formatted(where, String.join(" or ", group.phases())));
      }
      if (!seen.add(where)) {
        problems.add("the reference resistance of %s is there twice".formatted(where));
      }
      positive(problems, "reference resistance of " + where, r.ohms(), "Ohm");
    }
  }

  private static void checkEarlier(
      List<String> problems,
      Map<String, BigDecimal> earlier,
      List<TapChanger> changers,
      WindingGroup group) {
    Set<String> steps = new HashSet<>();
    if (!changers.isEmpty()) {
      for (TapSetting setting : TapSetting.all(changers)) {
        group.phases().forEach(phase -> steps.add(setting.ratioStep(phase)));
      }
    }
    new TreeMap<>(earlier)
        .forEach(
            (step, ratio) -> {
              positive(problems, "earlier ratio of " + step, ratio, "");
              if (!steps.contains(step)) {
                problems.add("the earlier ratio of %s is of no step of the plan".formatted(step));
              }
            });
  }

  private static void positive(List<String> problems, String what, BigDecimal number, String unit) {
    if (number.signum() <= 0) {
      problems.add("the %s is %s, not above zero".formatted(what, (number + " " + unit).strip()));
    }
  }

  /**
   * An earlier value of a winding's resistance between two terminals, at the reference temperature.
   *
   * @param windings {@code HV} or {@code LV}
   * @param phase A, B or C
   * @param ohms in Ohm
   */
  public record ResistanceReference(String windings, String phase, BigDecimal ohms) {}
}
