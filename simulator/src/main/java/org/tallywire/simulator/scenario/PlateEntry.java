package org.tallywire.simulator.scenario;

import java.math.BigDecimal;
import java.util.Optional;
import java.util.Set;
import org.tallywire.simulator.physics.Material;
import org.tallywire.simulator.scenario.Plate.Taps;

/**
 * The transformer of a scenario as somebody wrote it. Limits are those within which the pretend
 * unit is built sensibly (practice).
 */
final class PlateEntry {

  static final Range HIGH_VOLTAGE = Range.of(Measure.VOLTAGE, "200", "66000", "11000 V");
  static final Range LOW_VOLTAGE = Range.of(Measure.VOLTAGE, "200", "33000", "433 V");

  /** What stands in a transformer's section. */
  static final Set<String> KEYS =
      Set.of(
          "serial",
          "power",
          "group",
          "high voltage",
          "low voltage",
          "frequency",
          "impedance",
          "taps",
          "high voltage conductor",
          "low voltage conductor",
          "temperature");

  /** The unit that is tested where a scenario names none: invented, as all that belongs to it. */
  static final Plate HOLLOW_LANE =
      new Plate(
          "HL-0231",
          250,
          11_000,
          433,
          Group.of("Dyn11"),
          50,
          new Taps(Winding.HV, 5, 2.5, 3),
          4.5,
          Material.COPPER,
          Material.ALUMINIUM);

  static final Set<String> TAP_KEYS = Set.of("winding", "positions", "step", "principal");

  private static final String LONGEST_SERIAL = "\\P{Cntrl}{1,40}";
  private static final Range POWER = Range.of(Measure.POWER, "5", "2500", "250 kVA");
  private static final Range FREQUENCY = Range.of(Measure.FREQUENCY, "40", "70", "50 Hz");
  private static final double USUAL_FREQUENCY = 50;
  private static final Range IMPEDANCE = Range.of(Measure.PERCENTAGE, "2", "15", "4.5 %");
  private static final double USUAL_IMPEDANCE = 4.5;
  private static final Range STEP = Range.of(Measure.PERCENTAGE, "0.1", "10", "2.5 %");
  private static final Range TEMPERATURE = Range.of(Measure.TEMPERATURE, "-20", "80", "16 °C");
  private static final BigDecimal FARTHEST_TAP_PERCENT = new BigDecimal(40);

  private final Section section;

  PlateEntry(Section section) {
    this.section = section;
  }

  /** Returns the plate; nothing if something of it is wrong. */
  Optional<Plate> plate() {
    int before = section.problems();
    String serial = serial();
    double power = section.amount("power", POWER);
    Group group =
        section.required("group", "Dyn11").flatMap(PlateEntry::group).orElse(Group.of("Dyn11"));
    double high = section.amount("high voltage", HIGH_VOLTAGE);
    double low = section.amount("low voltage", LOW_VOLTAGE);
    if (section.problems() == before && low > high) {
      section.problem("low voltage", "the low voltage is above the high voltage");
    }
    double frequency = section.amount("frequency", FREQUENCY, USUAL_FREQUENCY);
    double impedance = section.amount("impedance", IMPEDANCE, USUAL_IMPEDANCE);
    Taps taps = section.section("taps", TAP_KEYS).map(this::taps).orElse(Taps.NONE);
    Material highMetal = metal("high voltage conductor");
    Material lowMetal = metal("low voltage conductor");
    return section.problems() > before
        ? Optional.empty()
        : Optional.of(
            new Plate(
                serial, power, high, low, group, frequency, taps, impedance, highMetal, lowMetal));
  }

  /** Returns the temperature of the unit at the start, if it is written. */
  Optional<Double> celsius() {
    return section.written("temperature").flatMap(TEMPERATURE::read).map(c -> c.doubleValue());
  }

  private String serial() {
    Optional<Written> written = section.required("serial", "HL-0231");
    written
        .filter(w -> !w.text().matches(LONGEST_SERIAL))
        .ifPresent(w -> w.refuse("is too long; a serial has at most 40 characters"));
    return written.map(Written::text).orElse("");
  }

  /** Returns the group that was written; tells a problem and returns nothing if it is none. */
  static Optional<Group> group(Written written) {
    try {
      return Optional.of(Group.of(written.text()));
    } catch (IllegalArgumentException none) {
      written.refuse(String.valueOf(none.getMessage()));
      return Optional.empty();
    }
  }

  private Material metal(String key) {
    return section
        .written(key)
        .flatMap(w -> w.oneOf(FaultEntry.METALS, "conductor"))
        .orElse(Material.COPPER);
  }

  private Taps taps(Section taps) {
    Winding winding =
        taps.written("winding")
            .flatMap(w -> w.oneOf(FaultEntry.WINDINGS, "winding"))
            .orElse(Winding.HV);
    int positions =
        taps.required("positions", "5").flatMap(w -> w.whole(1, Taps.MOST)).orElse(Taps.MOST);
    Optional<Written> stepWritten = taps.required("step", "2.5 %");
    Optional<BigDecimal> step = stepWritten.flatMap(STEP::read);
    int principal = taps.required("principal", "3").flatMap(w -> w.whole(1, positions)).orElse(1);
    int farthest = Math.max(principal - 1, positions - principal);
    if (step.filter(s -> s.multiply(new BigDecimal(farthest)).compareTo(FARTHEST_TAP_PERCENT) > 0)
        .isPresent()) {
      stepWritten
          .orElseThrow()
          .refuse("brings the last position farther than 40 % from the principal one");
    }
    return new Taps(winding, positions, step.map(s -> s.doubleValue()).orElse(1.0), principal);
  }
}
