package org.tallywire.acceptance;

import java.math.MathContext;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.stream.Collectors;

/** What a plate says, in words for a person. */
public final class PlateFacts {

  private static final MathContext SHOWN = new MathContext(6);

  private PlateFacts() {}

  /**
   * Returns each fact as a word and what the plate says of it, in the order in which they are read.
   */
  public static List<Map.Entry<String, String>> of(Nameplate plate) {
    List<Map.Entry<String, String>> facts = new ArrayList<>();
    facts.add(Map.entry("asset", plate.asset()));
    facts.add(Map.entry("group", plate.group().toString()));
    facts.add(Map.entry("rated power", Figures.bare(plate.ratedPower()) + " kVA"));
    facts.add(
        Map.entry(
            "voltages",
            Figures.bare(plate.hvVoltage()) + " V / " + Figures.bare(plate.lvVoltage()) + " V"));
    facts.add(
        Map.entry(
            "rated currents",
            "%s / %s"
                .formatted(
                    current(plate, Side.HV, plate.hvCurrent().isPresent()),
                    current(plate, Side.LV, plate.lvCurrent().isPresent()))));
    facts.add(Map.entry("frequency", Figures.bare(plate.frequency()) + " Hz"));
    for (TapChanger changer : plate.tapChangers()) {
      facts.add(Map.entry("taps", inWords(changer)));
    }
    facts.add(
        Map.entry(
            "conductors",
            "HV %s, LV %s, reference %s °C"
                .formatted(
                    plate.hvConductor().name().toLowerCase(Locale.ROOT),
                    plate.lvConductor().name().toLowerCase(Locale.ROOT),
                    Figures.bare(plate.referenceTemperature()))));
    facts.add(Map.entry("core", plate.core().word()));
    plate
        .impedancePercent()
        .ifPresent(z -> facts.add(Map.entry("impedance", Figures.bare(z) + " %")));
    plate
        .noLoadCurrentPercent()
        .ifPresent(i -> facts.add(Map.entry("no-load current", Figures.bare(i) + " %")));
    plate.lvTurns().ifPresent(turns -> facts.add(Map.entry("LV turns", String.valueOf(turns))));
    return List.copyOf(facts);
  }

  private static String current(Nameplate plate, Side side, boolean stated) {
    return stated
        ? Figures.bare((side == Side.HV ? plate.hvCurrent() : plate.lvCurrent()).orElseThrow())
            + " A"
        : plate.computedCurrent(side).round(SHOWN).toPlainString() + " A (computed)";
  }

  private static String inWords(TapChanger changer) {
    if (changer.taps().size() == 1) {
      return "none";
    }
    return "%s on %s, principal %d: %s V"
        .formatted(
            changer.kind().word(),
            changer.side(),
            changer.principal(),
            changer.taps().stream()
                .map(tap -> tap.position() + "=" + Figures.bare(tap.voltage()))
                .collect(Collectors.joining(", ")));
  }
}
