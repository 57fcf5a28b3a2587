package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import org.tallywire.acceptance.Nameplate.ResistanceReference;
import org.tallywire.acceptance.TapChanger.Tap;
import org.tallywire.acceptance.resistance.Conductor;
import org.tallywire.acceptance.winding.WindingGroup;

/** An invented nameplate to be changed in one place: an 11000/433 V Dyn11 unit at first. */
final class SamplePlate {

  String asset = "INVENTED-1";
  String group = "Dyn11";
  String power = "500";
  String hv = "11000";
  String lv = "433";
  String frequency = "50";
  List<TapChanger> tapChangers = List.of();
  Conductor hvConductor = Conductor.COPPER;
  Conductor lvConductor = Conductor.ALUMINIUM;
  String referenceTemperature = "75";
  Optional<String> impedance = Optional.of("4.00");
  Optional<String> noLoadCurrent = Optional.empty();
  Optional<String> hvCurrent = Optional.empty();
  Optional<String> lvCurrent = Optional.empty();
  OptionalInt lvTurns = OptionalInt.empty();
  CoreForm core = CoreForm.THREE_LIMB;
  List<ResistanceReference> references = List.of();
  Map<String, BigDecimal> earlierRatios = new HashMap<>();

  /** Gives it a de-energised tap changer with these HV voltages; the middle one is principal. */
  SamplePlate taps(String... voltages) {
    return taps(Side.HV, TapChanger.Kind.DE_ENERGISED, voltages);
  }

  SamplePlate taps(Side side, TapChanger.Kind kind, String... voltages) {
    List<TapChanger> changers = new ArrayList<>(tapChangers);
    int principal = (voltages.length + 1) / 2;
    changers.add(changer(side, kind, principal, voltages));
    tapChangers = changers;
    if (side == Side.HV) {
      hv = voltages[principal - 1];
    } else {
      lv = voltages[principal - 1];
    }
    return this;
  }

  static TapChanger changer(Side side, TapChanger.Kind kind, int principal, String... voltages) {
    List<Tap> taps = new ArrayList<>();
    for (int i = 0; i < voltages.length; i++) {
      taps.add(new Tap(i + 1, new BigDecimal(voltages[i])));
    }
    return new TapChanger(side, kind, taps, principal);
  }

  Nameplate plate() {
    return new Nameplate(
        asset,
        WindingGroup.parse(group),
        new BigDecimal(power),
        new BigDecimal(hv),
        new BigDecimal(lv),
        new BigDecimal(frequency),
        tapChangers.isEmpty()
            ? List.of(changer(Side.HV, TapChanger.Kind.DE_ENERGISED, 1, hv))
            : tapChangers,
        hvConductor,
        lvConductor,
        new BigDecimal(referenceTemperature),
        impedance.map(BigDecimal::new),
        noLoadCurrent.map(BigDecimal::new),
        lvTurns,
        group.startsWith("I") ? CoreForm.SINGLE_PHASE : core,
        references,
        earlierRatios,
        hvCurrent.map(BigDecimal::new),
        lvCurrent.map(BigDecimal::new));
  }
}
