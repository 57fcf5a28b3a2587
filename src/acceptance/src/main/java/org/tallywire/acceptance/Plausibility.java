package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.TreeSet;
import org.tallywire.acceptance.Nameplate.ResistanceReference;
import org.tallywire.acceptance.Rule.Certainty;
import org.tallywire.acceptance.figure.Percent;
import org.tallywire.acceptance.figure.Roots;
import org.tallywire.acceptance.resistance.Conductor;
import org.tallywire.acceptance.winding.LeadPlan;
import org.tallywire.acceptance.winding.WindingGroup;
import org.tallywire.acceptance.winding.WindingGroup.Connection;

/**
 * Asks of a nameplate that can be whether it is likely: what is written in the wrong unit, of
 * another winding, or with a slip of the pen shows here. Pure; the ranges are common practice
 * unless a doubt names a source.
 */
public final class Plausibility {

  /** How far a rated current may be off the one computed, in % (practice). */
  private static final BigDecimal CURRENTS_ALIKE = BigDecimal.valueOf(2);

  private static final BigDecimal LOW_VOLTAGE = BigDecimal.valueOf(1000);

  private static final Set<String> FREQUENCIES = Set.of("16.7", "25", "50", "60", "400");

  /** Voltages that are usual between line and neutral (practice). */
  private static final Set<String> TO_NEUTRAL =
      Set.of("115", "120", "127", "219", "220", "230", "231", "240", "254", "277", "347");

  /** The groups of IEC 60076-1:2011, annex D, without their neutrals. */
  private static final Set<String> USUAL_GROUPS =
      Set.of(
          "Yy0", "Yy6", "Dd0", "Dd2", "Dd4", "Dd6", "Dd8", "Dd10", "Dz0", "Dz2", "Dz4", "Dz6",
          "Dz8", "Dz10", "Dy1", "Dy5", "Dy7", "Dy11", "Yd1", "Yd5", "Yd7", "Yd11", "Yz1", "Yz5",
          "Yz7", "Yz11", "Ii0", "Ii6");

  /** Usual reference temperatures, liquid-filled and dry. */
  private static final Set<Integer> REFERENCES =
      new TreeSet<>(Set.of(20, 55, 75, 80, 85, 95, 100, 115, 120, 135, 145, 170));

  private static final Rule PRACTICE =
      new Rule("usual range", "common practice", Certainty.PRACTICE);

  private static final Rule POWER =
      new Rule(
          "I = S / (√3·U), single-phase S / U", "definition of rated power", Certainty.DERIVED);

  private final Nameplate plate;
  private final List<Doubt> doubts = new ArrayList<>();

  private Plausibility(Nameplate plate) {
    this.plate = plate;
  }

  /** Returns what is to be answered of a plate, in the plate's order; nothing if all is usual. */
  public static List<Doubt> of(Nameplate plate) {
    Plausibility asked = new Plausibility(plate);
    asked.group();
    asked.power();
    asked.voltages();
    asked.current("HV current", plate.hvCurrent(), Side.HV);
    asked.current("LV current", plate.lvCurrent(), Side.LV);
    asked.doubts.addAll(TapDoubts.of(plate));
    asked.inside();
    asked.percentages();
    asked.references();
    return List.copyOf(asked.doubts);
  }

  private void group() {
    WindingGroup group = plate.group();
    String bare = new WindingGroup(group.hv(), group.lv(), false, false, group.hour()).toString();
    if (!USUAL_GROUPS.contains(bare)) {
      doubts.add(
          new Doubt(
              "group",
              "Group %s is none of the usual ones: look at letters, order (HV first) and hour on the plate again."
                  .formatted(group),
              new Rule("usual connections", "IEC 60076-1:2011, annex D", Certainty.MEMORY)));
    }
    if (missesUsualNeutral(group)) {
      doubt(
          "group",
          "Group %s has no LV neutral, and at %s V most units have one brought out: if there is a terminal 2n (X0), write n after the LV letter."
              .formatted(group, bare(plate.lvVoltage())));
    } else if (!LeadPlan.of(group).phaseA().ties().isEmpty()) {
      doubt(
          "group",
          "Without a neutral group %s is read with HV terminals tied together: if the unit has a neutral terminal, write N or n, and one winding at a time can be read."
              .formatted(group));
    }
  }

  private boolean missesUsualNeutral(WindingGroup group) {
    return group.lv() == Connection.STAR
        && !group.lvNeutral()
        && plate.lvVoltage().compareTo(LOW_VOLTAGE) <= 0;
  }

  private void power() {
    outside(
        "rated power", plate.ratedPower(), "1", "1500000", "kVA", "it is in kVA, not VA or MVA");
    String frequency = bare(plate.frequency());
    if (!FREQUENCIES.contains(frequency)) {
      doubt("frequency", "The frequency is %s Hz, and 50 or 60 is usual.".formatted(frequency));
    }
  }

  private void voltages() {
    outside("HV voltage", plate.hvVoltage(), "100", "1200000", "V", "it is in V, not kV");
    outside("LV voltage", plate.lvVoltage(), "24", "800000", "V", "it is in V, not kV");
    for (Side side : Side.values()) {
      BigDecimal current = plate.computedCurrent(side);
      if (current.compareTo(BigDecimal.valueOf(50_000)) > 0) {
        doubt(
            side + " voltage",
            "%s kVA at %s V would be %s A: check that voltages are in V and the power in kVA."
                .formatted(bare(plate.ratedPower()), bare(voltage(side)), Figures.shown(current)));
      }
    }
    if (plate.hvVoltage().compareTo(plate.lvVoltage()) == 0) {
      doubt(
          "LV voltage",
          "Both rated voltages are %s V: right for an isolating transformer alone."
              .formatted(bare(plate.hvVoltage())));
    }
    if (plate.group().lv() != Connection.DELTA
        && plate.group().lv() != Connection.SINGLE
        && TO_NEUTRAL.contains(bare(plate.lvVoltage()))) {
      doubt(
          "LV voltage",
          "The LV voltage of %s V is a usual voltage between line and neutral: if it is that, write the one between lines, %s V."
              .formatted(
                  bare(plate.lvVoltage()),
                  Figures.shown(
                      plate.lvVoltage().multiply(Roots.THREE).round(new MathContext(4)))));
    }
  }

  private BigDecimal voltage(Side side) {
    return side == Side.HV ? plate.hvVoltage() : plate.lvVoltage();
  }

  /** Holds a stated current against power and voltage; its last digit may be rounded. */
  private void current(String about, Optional<BigDecimal> stated, Side side) {
    if (stated.isEmpty()) {
      return;
    }
    BigDecimal computed = plate.computedCurrent(side);
    BigDecimal off = Percent.off(stated.get(), computed);
    BigDecimal rounding = stated.get().ulp().divide(BigDecimal.valueOf(2), MathContext.DECIMAL128);
    boolean rounded = stated.get().subtract(computed).abs().compareTo(rounding) <= 0;
    if (off.abs().compareTo(CURRENTS_ALIKE) <= 0 || rounded) {
      return;
    }
    boolean three = plate.group().hv() != Connection.SINGLE;
    doubts.add(
        new Doubt(
            about,
            "The plate's %s %s A is %s %% off what %s kVA at %s V make, %s A (%s)%s. Check current, power and voltage."
                .formatted(
                    about,
                    bare(stated.get()),
                    Figures.shown(off.round(new MathContext(3))),
                    bare(plate.ratedPower()),
                    bare(voltage(side)),
                    Figures.shown(computed),
                    three ? "S / (√3·U)" : "S / U",
                    likelySlip(three, stated.get(), computed)),
            POWER));
  }

  private static String likelySlip(boolean three, BigDecimal stated, BigDecimal computed) {
    BigDecimal times = stated.divide(computed, MathContext.DECIMAL128);
    if (three && near(times, Roots.THREE)) {
      return "; it is √3 times that: the voltage may be √3 too high, or the group single-phase";
    }
    if (three && near(times.multiply(Roots.THREE), BigDecimal.ONE)) {
      return "; it is that by √3: it may be the current inside a delta, or the voltage that between line and neutral";
    }
    if (three && near(times, BigDecimal.valueOf(3))) {
      return "; it is 3 times that: the power may be of one phase";
    }
    for (int tens = -3; tens <= 3; tens++) {
      if (tens != 0 && near(times.scaleByPowerOfTen(tens), BigDecimal.ONE)) {
        return "; it is %s times that: a unit or a point is wrong"
            .formatted(Figures.bare(BigDecimal.ONE.scaleByPowerOfTen(-tens)));
      }
    }
    return "";
  }

  private static boolean near(BigDecimal number, BigDecimal other) {
    return Percent.off(number, other).abs().compareTo(CURRENTS_ALIKE) <= 0;
  }

  private void inside() {
    if (plate.hvConductor() == Conductor.ALUMINIUM && plate.lvConductor() == Conductor.COPPER) {
      doubt(
          "conductors",
          "HV is of aluminium and LV of copper; the other way round, or both alike, is usual.");
    }
    BigDecimal reference = plate.referenceTemperature();
    if (REFERENCES.stream().noneMatch(r -> BigDecimal.valueOf(r).compareTo(reference) == 0)) {
      doubts.add(
          new Doubt(
              "reference temperature",
              "The reference temperature is %s °C; 75 °C or 85 °C is usual for liquid-filled units, the rated rise plus 20 °C for dry ones."
                  .formatted(bare(reference)),
              new Rule("reference temperature", "IEC 60076-1, IEEE C57.12.00", Certainty.MEMORY)));
    }
    if (plate.lvTurns().isPresent()) {
      perTurn(plate.lvTurns().getAsInt());
    }
  }

  /** Volts per turn grow about with the square root of the power: 0.1 to 2 times it in kVA. */
  private void perTurn(int turns) {
    BigDecimal winding = plate.lvVoltage().divide(overWinding(), MathContext.DECIMAL128);
    BigDecimal perTurn = winding.divide(BigDecimal.valueOf(turns), MathContext.DECIMAL128);
    BigDecimal root = plate.ratedPower().sqrt(MathContext.DECIMAL128);
    BigDecimal times = perTurn.divide(root, MathContext.DECIMAL128);
    if (times.compareTo(new BigDecimal("0.1")) < 0 || times.compareTo(BigDecimal.valueOf(2)) > 0) {
      doubt(
          "LV turns",
          "%d LV turns at %s V of a phase winding are %s V a turn; with %s kVA %s to %s V are usual. Turns of one phase winding are meant."
              .formatted(
                  turns,
                  Figures.shown(winding.round(new MathContext(4))),
                  Figures.shown(perTurn.round(new MathContext(3))),
                  bare(plate.ratedPower()),
                  Figures.shown(root.movePointLeft(1).round(new MathContext(2))),
                  Figures.shown(root.multiply(BigDecimal.valueOf(2)).round(new MathContext(2)))));
    }
  }

  /** Returns line voltage over that of a whole phase winding on the LV side. */
  private BigDecimal overWinding() {
    return switch (plate.group().lv()) {
      case STAR -> Roots.THREE;
      case ZIGZAG -> new BigDecimal("1.5");
      case DELTA, SINGLE -> BigDecimal.ONE;
    };
  }

  private void percentages() {
    boolean large = plate.ratedPower().compareTo(BigDecimal.valueOf(2500)) > 0;
    plate
        .impedancePercent()
        .ifPresent(
            z ->
                outside(
                    "impedance",
                    z,
                    large ? "4" : "1.5",
                    large ? "25" : "10",
                    "%",
                    "it is in % (4, not 0.04) and belongs to this power"));
    plate
        .noLoadCurrentPercent()
        .ifPresent(
            i ->
                outside(
                    "no-load current",
                    i,
                    large ? "0.02" : "0.05",
                    large ? "3" : "10",
                    "%",
                    "it is in % of the rated current, not in A"));
  }

  /** Asks what share of the power a reference resistance would turn into heat at rated load. */
  private void references() {
    for (ResistanceReference reference : plate.references()) {
      Side side = Side.valueOf(reference.windings());
      BigDecimal current = plate.computedCurrent(side);
      BigDecimal loss =
          current
              .pow(2)
              .multiply(reference.ohms())
              .multiply(perPhase(side))
              .divide(plate.ratedPower().multiply(BigDecimal.TEN), MathContext.DECIMAL128);
      if (loss.compareTo(new BigDecimal("0.02")) < 0 || loss.compareTo(BigDecimal.valueOf(5)) > 0) {
        doubts.add(
            new Doubt(
                "reference resistance",
                "%s in %s phase %s would turn %s %% of the rated power into heat at %s A; 0.02 to 5 %% is usual. Check the unit: it is in Ohm."
                    .formatted(
                        Figures.ohms(reference.ohms()),
                        side,
                        reference.phase(),
                        Figures.shown(loss.round(new MathContext(3))),
                        Figures.shown(current)),
                PRACTICE));
      }
    }
  }

  /** Returns what I²R of a reading is multiplied by for the loss of all phases (derived). */
  private BigDecimal perPhase(Side side) {
    WindingGroup group = plate.group();
    if (group.hv() == Connection.SINGLE) {
      return BigDecimal.ONE;
    }
    boolean neutral = side == Side.HV ? group.hvNeutral() : group.lvNeutral();
    return neutral ? BigDecimal.valueOf(3) : new BigDecimal("1.5");
  }

  private void outside(
      String about, BigDecimal number, String least, String most, String unit, String check) {
    if (number.compareTo(new BigDecimal(least)) < 0 || number.compareTo(new BigDecimal(most)) > 0) {
      doubt(
          about,
          "The %s is %s %s, and %s to %s %s is usual: check that %s."
              .formatted(about, bare(number), unit, least, most, unit, check));
    }
  }

  private void doubt(String about, String sentence) {
    doubts.add(new Doubt(about, sentence, PRACTICE));
  }

  private static String bare(BigDecimal number) {
    return Figures.bare(number);
  }
}
