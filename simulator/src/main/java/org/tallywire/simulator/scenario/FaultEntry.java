package org.tallywire.simulator.scenario;

import java.time.Duration;
import java.util.Arrays;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalDouble;
import org.tallywire.simulator.physics.Material;
import org.tallywire.simulator.scenario.TesterFault.Quantity;
import org.tallywire.simulator.scenario.UnitFault.Addition;

/**
 * The keys of one fault as somebody wrote them, held against the plate where a key means a part of
 * the unit. Limits are those of sense at a bench, not of the physics (practice).
 */
final class FaultEntry {

  static final Map<String, Winding> WINDINGS = words(Winding.values());
  static final Map<String, Phase> PHASES = words(Phase.values());
  static final Map<String, Material> METALS = words(Material.values());
  static final Map<String, Quantity> QUANTITIES = words(Quantity.values());

  private static final Range SHARE = Range.of(Measure.SHARE, "0.000001", "1", "10 %");
  private static final Range ADDED_PART = Range.of(Measure.SHARE, "0.0001", "100", "8 % or 0.4 mΩ");
  private static final Range ADDED_OHMS = Range.of(Measure.RESISTANCE, "1e-6", "1000", "0.4 mΩ");
  private static final Range UNSTEADY = Range.of(Measure.SHARE, "0", "1", "50 %");
  private static final double USUALLY_UNSTEADY = 0.5;

  /** What the steel of every unit keeps at most without a current, rounded down. */
  static final double MOST_RESIDUAL_TESLA = 1.09;

  /** Any: how much is too much is told in a sentence of its own. */
  private static final Range FLUX_DENSITY = Range.around(Measure.FLUX_DENSITY, "1e40", "0.8 T");

  private static final Range HOTTER = Range.of(Measure.DIFFERENCE, "1", "150", "40 K");
  private static final Range PER_HOUR = Range.around(Measure.PERCENTAGE, "100", "0.5 %");
  private static final Range WRONG_BY = Range.around(Measure.PERCENTAGE, "50", "0.8 %");
  private static final Range TIMES = Range.of(Measure.NUMBER, "1.1", "1000", "5");
  private static final Range OFF = Range.of(Measure.TIME, "0.1", "3600", "5 s");
  private static final double USUALLY_OFF = 5;
  private static final Range CLOCK = Range.around(Measure.TIME, "315360000", "-90 s");
  private static final int MOST_HELD = 1_000_000;

  private final Section section;
  private final Optional<Plate> plate;

  /** An entry; without a plate (as that is wrong itself) nothing is held against it. */
  FaultEntry(Section section, Optional<Plate> plate) {
    this.section = section;
    this.plate = plate;
  }

  /** Returns the constants by the words that stand for them. */
  static <E extends Enum<E>> Map<String, E> words(E[] constants) {
    Map<String, E> words = new LinkedHashMap<>();
    Arrays.stream(constants).forEach(constant -> words.put(word(constant), constant));
    return words;
  }

  /** Returns the word for a constant: HV, LV and phases in capitals, all else in small letters. */
  static String word(Enum<?> constant) {
    return constant instanceof Winding || constant instanceof Phase
        ? constant.name()
        : constant.name().toLowerCase(Locale.ROOT);
  }

  Winding winding() {
    return section.oneOf("winding", WINDINGS, "winding", Winding.HV);
  }

  /** Returns a phase; a single-phase unit has only A, which need not be said. */
  Phase phase() {
    return singlePhase() && !section.has("phase") ? Phase.A : phase(section.required("phase", "A"));
  }

  /** Returns a phase, nothing for all of them. */
  Optional<Phase> phaseOrAll() {
    return section.has("phase") ? Optional.of(phase(section.written("phase"))) : Optional.empty();
  }

  private Phase phase(Optional<Written> written) {
    Optional<Phase> phase = written.flatMap(w -> w.oneOf(PHASES, "phase"));
    if (singlePhase() && phase.filter(p -> p != Phase.A).isPresent()) {
      written.orElseThrow().refuse("is no phase of a single-phase unit; leave it out");
    }
    return phase.orElse(Phase.A);
  }

  private boolean singlePhase() {
    return plate.filter(p -> p.group().singlePhase()).isPresent();
  }

  /** Returns how many turns are shorted: up to a half of a phase's turns, roughly. */
  int turns(Winding winding) {
    int most = plate.map(p -> mostShorted(p, winding)).orElse(Integer.MAX_VALUE);
    return section.required("turns", "3").flatMap(w -> w.whole(1, most)).orElse(1);
  }

  /** Returns a half of the turns that a phase roughly has, at least 1. */
  static int mostShorted(Plate plate, Winding winding) {
    return (int) Math.max(1, Math.min(plate.roughTurns(winding) / 2, 100_000));
  }

  Addition adds() {
    Optional<Written> written = section.required("adds", "8 %");
    boolean ohms = written.filter(w -> w.text().matches(".*(?:[ΩΩ]|[oO]hms?)")).isPresent();
    Range range = ohms ? ADDED_OHMS : ADDED_PART;
    double amount = written.flatMap(range::read).map(found -> found.doubleValue()).orElse(1.0);
    return new Addition(amount, !ohms);
  }

  /** Returns the position of a worn contact, 0 for all; the unit must have taps. */
  int positionOrAll() {
    requireTaps();
    int last = plate.map(p -> p.taps().positions()).orElse(Plate.Taps.MOST);
    return section
        .written("position")
        .filter(w -> !w.text().equals("all"))
        .flatMap(w -> w.whole(1, last))
        .orElse(0);
  }

  double unsteady() {
    return section.amount("unsteady", UNSTEADY, USUALLY_UNSTEADY);
  }

  /** Returns by how many positions the tap changer is wrong, not 0; the unit must have taps. */
  int steps() {
    requireTaps();
    int most = plate.map(p -> Math.max(1, p.taps().positions() - 1)).orElse(Plate.Taps.MOST);
    Optional<Written> written = section.required("steps", "+1");
    int steps = written.flatMap(w -> w.whole(-most, most)).orElse(1);
    if (steps == 0) {
      written.orElseThrow().refuse("changes nothing; write for example +1");
      return 1;
    }
    return steps;
  }

  private void requireTaps() {
    if (plate.filter(p -> p.taps().positions() == 1).isPresent()) {
      section.problem("", "the transformer has no taps; write \"taps\" there or leave this out");
    }
  }

  /** Returns the flux density left in a limb; the steel must be able to keep it. */
  double fluxDensity() {
    Optional<Written> written = section.required("flux density", FLUX_DENSITY.example());
    double tesla =
        written.flatMap(FLUX_DENSITY::read).map(found -> found.doubleValue()).orElse(1.0);
    if (Math.abs(tesla) > MOST_RESIDUAL_TESLA) {
      String most = Measure.FLUX_DENSITY.write(MOST_RESIDUAL_TESLA);
      written
          .orElseThrow()
          .refuse(
              "is more than the steel keeps without a current; write -%s to %s"
                  .formatted(most, most));
    }
    return tesla;
  }

  double hotter() {
    return section.amount("by", HOTTER);
  }

  /** Returns the metal that a winding really has; not that of the plate. */
  Material conductor(Winding winding) {
    Optional<Written> written = section.required("conductor", "aluminium");
    Optional<Material> metal = written.flatMap(w -> w.oneOf(METALS, "conductor"));
    if (metal.isPresent() && metal.equals(plate.map(p -> p.conductor(winding)))) {
      written.orElseThrow().refuse("is what the plate says; write the other metal");
    }
    return metal.orElse(Material.COPPER);
  }

  /** Returns the voltage that the unit is really built for, if that is what the plate has wrong. */
  OptionalDouble volts(String key, Range range) {
    return section.has(key)
        ? OptionalDouble.of(section.amount(key, range, range.from().doubleValue()))
        : OptionalDouble.empty();
  }

  /** Returns the group that the unit really has; its terminals must be those of the plate. */
  Optional<Group> group() {
    Optional<Written> written = section.written("group");
    Optional<Group> group = written.flatMap(PlateEntry::group);
    group.ifPresent(
        built ->
            plate
                .map(Plate::group)
                .filter(stated -> !stated.sameTerminals(built))
                .ifPresent(
                    stated ->
                        written
                            .orElseThrow()
                            .refuse(
                                "has other terminals than %s on the plate; write one with the same"
                                        .formatted(stated)
                                    + " neutrals and phases")));
    return group;
  }

  /** Tells a problem if the fault leaves everything as the plate says. */
  void requireOneOf(String... keys) {
    List<String> choices = List.of(keys);
    if (choices.stream().noneMatch(section::has)) {
      section.problem("", "nothing is said of it; write " + Wording.choice(choices));
    }
  }

  /** Returns two different phases, written {@code A and C}. */
  List<Phase> phases() {
    if (singlePhase()) {
      section.problem("", "a single-phase unit has no leads to swap; see reversed winding");
    }
    Map<String, List<Phase>> pairs = new LinkedHashMap<>();
    for (Phase one : Phase.values()) {
      for (Phase other : Phase.values()) {
        if (one != other) {
          pairs.put(one + " and " + other, List.of(one, other));
        }
      }
    }
    return section.oneOf("phases", pairs, "pair of phases", List.of(Phase.A, Phase.B));
  }

  /** Returns the winding whose neutral lead is off; its neutral must be brought out. */
  Winding windingWithNeutral() {
    Optional<Written> written = section.required("winding", "LV");
    Optional<Winding> winding = written.flatMap(w -> w.oneOf(WINDINGS, "winding"));
    winding.ifPresent(
        w ->
            plate
                .map(Plate::group)
                .filter(group -> !group.neutral(w))
                .ifPresent(
                    group ->
                        written
                            .orElseThrow()
                            .refuse("has no neutral brought out with group " + group)));
    return winding.orElse(Winding.LV);
  }

  Quantity quantity() {
    return section.oneOf("quantity", QUANTITIES, "quantity", Quantity.RATIO);
  }

  double perHour() {
    return section.amount("per hour", PER_HOUR);
  }

  double wrongBy() {
    return section.amount("by", WRONG_BY);
  }

  double times() {
    return section.amount("times", TIMES);
  }

  double share() {
    return section.amount("share", SHARE);
  }

  Duration off() {
    return duration(section.amount("lasts", OFF, USUALLY_OFF));
  }

  int holds() {
    return section.required("holds", "20").flatMap(w -> w.whole(1, MOST_HELD)).orElse(1);
  }

  Duration clockBy() {
    return duration(section.amount("by", CLOCK));
  }

  /** Returns a duration of so many seconds, to the millisecond. */
  static Duration duration(double seconds) {
    return Duration.ofMillis(Math.round(seconds * 1000));
  }
}
