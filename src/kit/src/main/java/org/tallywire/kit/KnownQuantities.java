package org.tallywire.kit;

import java.util.LinkedHashSet;
import java.util.Map;
import java.util.Set;
import java.util.TreeMap;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/** The quantities that are judged, each with its unit; a test holds them to the shared list. */
final class KnownQuantities {

  static final Map<Quantity, Unit> UNITS =
      Map.ofEntries(
          Map.entry(Quantity.TURNS_RATIO, Unit.ONE),
          Map.entry(Quantity.PHASE_DISPLACEMENT, Unit.DEGREE),
          Map.entry(Quantity.EXCITATION_CURRENT, Unit.MILLIAMPERE),
          Map.entry(Quantity.TEST_VOLTAGE, Unit.VOLT),
          Map.entry(Quantity.TEST_CURRENT, Unit.AMPERE),
          Map.entry(Quantity.WINDING_RESISTANCE, Unit.OHM),
          Map.entry(Quantity.WINDING_TEMPERATURE, Unit.CELSIUS),
          Map.entry(Quantity.AMBIENT_TEMPERATURE, Unit.CELSIUS),
          Map.entry(Quantity.RELATIVE_HUMIDITY, Unit.PERCENT),
          Map.entry(Quantity.INSULATION_RESISTANCE, Unit.MEGOHM),
          Map.entry(Quantity.INSULATION_RESISTANCE_30_S, Unit.MEGOHM),
          Map.entry(Quantity.INSULATION_RESISTANCE_10_MIN, Unit.MEGOHM),
          Map.entry(Quantity.SHORT_CIRCUIT_VOLTAGE, Unit.VOLT),
          Map.entry(Quantity.SHORT_CIRCUIT_CURRENT, Unit.AMPERE),
          Map.entry(Quantity.SHORT_CIRCUIT_LOSS, Unit.WATT));

  private final DriverReport report;
  private final Set<String> strange = new LinkedHashSet<>();
  private int readings;
  private boolean unlabelled;

  KnownQuantities(DriverReport report) {
    this.report = report;
  }

  void look(Reading reading) {
    readings++;
    unlabelled |= !reading.labels().containsKey("test");
    for (Value value : reading.values()) {
      Unit judged = UNITS.get(value.quantity());
      if (judged == null) {
        strange.add(
            "\"%s\" is no quantity of shared/quantities.json: it is recorded and judged by nobody%s"
                .formatted(value.quantity(), meant(value.quantity().name())));
      } else if (!value.unit().converts(judged)) {
        report.broken(
            DriverRule.QUANTITIES,
            "a %s in \"%s\" does not convert to %s, in which it is judged"
                .formatted(value.quantity(), value.unit(), judged));
      }
    }
  }

  private static String meant(String name) {
    Map<String, String> near = new TreeMap<>();
    for (Quantity known : UNITS.keySet()) {
      if (known.name().contains(name) || name.contains(known.name())) {
        near.put(known.name(), "; is %s meant?".formatted(known));
      }
    }
    return near.isEmpty() ? "" : near.values().iterator().next();
  }

  void report() {
    strange.forEach(report::note);
    if (unlabelled) {
      report.note(
          "a reading has no label \"test\": it is recorded, and booked to no step of a test set");
    }
    if (readings == 0) {
      report.untested(DriverRule.QUANTITIES, "no example gave a reading");
    }
    report.passed(DriverRule.QUANTITIES, "%d readings".formatted(readings));
  }
}
