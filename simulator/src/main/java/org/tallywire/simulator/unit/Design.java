package org.tallywire.simulator.unit;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.ArrayList;
import java.util.List;
import java.util.Random;
import org.tallywire.simulator.physics.Core;
import org.tallywire.simulator.physics.LimbPath;
import org.tallywire.simulator.physics.Material;
import org.tallywire.simulator.physics.Steel;
import org.tallywire.simulator.physics.SteelPath;
import org.tallywire.simulator.scenario.Group.Connection;
import org.tallywire.simulator.scenario.Phase;
import org.tallywire.simulator.scenario.Plate;
import org.tallywire.simulator.scenario.Scenario;
import org.tallywire.simulator.scenario.Winding;

/**
 * A unit as a designer would lay it out from its plate: turns, core, conductors, leakage.
 *
 * <p>Rules of a first draft, constants from practice and fitted to HL-0231 (250 kVA, 11 000/433 V,
 * Dyn11, invented), whose core and mean turns are the pattern that others are scaled from:
 *
 * <ul>
 *   <li>core area for about 1.6 T at rated voltage, {@code e = √2·π·f·B·A} (textbooks); lengths
 *       grow with its diameter
 *   <li>conductors for 2.525 A/mm² in copper and 1.5 A/mm² in aluminium; wider ones where the
 *       resistance would else take more than 0.8 of the impedance
 *   <li>leakage: the reactance is what is left of the impedance beside the resistance at 75 °C. A
 *       fifth of it is the HV winding's, the rest that of the LV winding: LV lies inside, and while
 *       it carries no current only the drop along the limb, about a fifth of the way, drives flux
 *       between the windings (derived). Half each, as often drawn, would put the ratio at 40 V off
 *       by 0.2 %
 *   <li>the air around the core gives three limbs a zero-sequence reactance of 0.5 per unit
 * </ul>
 *
 * <p>Manufacture spreads evenly: the resistance of each phase by up to 0.3 %, the length of iron of
 * each limb by up to 1 %.
 */
final class Design {

  static final double REFERENCE_CELSIUS = 75;

  private static final double RATED_TESLA = 1.596;
  private static final double PATTERN_SQUARE_METRES = 0.0235;
  private static final double HV_MEAN_TURN_METRES = 0.85;
  private static final double LV_MEAN_TURN_METRES = 0.62;
  private static final double LIMB_METRES = 0.34;
  private static final double OUTER_YOKE_METRES = 1.02;
  private static final double CENTRE_YOKE_METRES = 0.29;

  /** Air that stands for the two overlapped joints of an outer limb, in a core of any size. */
  private static final double JOINTS_METRES = 0.000016;

  private static final double COPPER_AMPS_PER_SQUARE_MILLIMETRE = 2.525;
  private static final double ALUMINIUM_AMPS_PER_SQUARE_MILLIMETRE = 1.5;

  /** The most that the resistance may take of the impedance. */
  private static final double RESISTIVE_SHARE = 0.8;

  /** The part of the leakage reactance that is the HV winding's. */
  private static final double HV_LEAKAGE = 0.2;

  /** Zero-sequence reactance with the other windings open, per unit: 0.3 to 0.6, from memory. */
  private static final double ZERO_SEQUENCE = 0.5;

  private static final double RESISTANCE_SPREAD = 0.003;
  private static final double IRON_SPREAD = 0.01;

  private static final MathContext DRAWING_DIGITS = new MathContext(3);

  private final Plate plate;
  private final Windings windings;
  private final Turns turns;
  private final double coreSquareMetres;
  private final double conductorFactor;
  private final List<Spread> spreads = new ArrayList<>();

  /** How one phase differs from the drawing: factors about 1. */
  private record Spread(double hvOhms, double lvOhms, double iron) {}

  /**
   * Lays out a unit.
   *
   * @param manufacture random numbers for its spread
   */
  Design(Plate plate, Random manufacture) {
    this.plate = plate;
    this.windings = Windings.of(plate.group());
    this.turns = new Turns(plate);
    this.coreSquareMetres =
        asDrawn(
            turns.voltsPerTurn() / (StrictMath.sqrt(2) * Math.PI * plate.hertz() * RATED_TESLA));
    double resistive = 0;
    for (Winding winding : Winding.values()) {
      resistive += ohms(winding, wantedSquareMillimetres(winding)) / ratedOhms(winding);
    }
    this.conductorFactor = Math.max(1, resistive / (RESISTIVE_SHARE * impedance()));
    for (int phase = 0; phase < Turns.phases(plate); phase++) {
      double hvOhms = 1 + Scenario.spread(manufacture, RESISTANCE_SPREAD);
      double lvOhms = 1 + Scenario.spread(manufacture, RESISTANCE_SPREAD);
      spreads.add(new Spread(hvOhms, lvOhms, 1 + Scenario.spread(manufacture, IRON_SPREAD)));
    }
  }

  Plate plate() {
    return plate;
  }

  Windings windings() {
    return windings;
  }

  Turns turns() {
    return turns;
  }

  double squareMillimetres(Winding winding) {
    return asDrawn(wantedSquareMillimetres(winding) * conductorFactor);
  }

  /** Returns the cross-section of a limb. */
  double coreSquareMetres() {
    return coreSquareMetres;
  }

  double meanTurnMetres(Winding winding) {
    return size() * (winding == Winding.HV ? HV_MEAN_TURN_METRES : LV_MEAN_TURN_METRES);
  }

  /** Returns the resistance of a phase as built, on the rated position at 75 °C. */
  double ohmsAt75(Winding winding, Phase phase) {
    Spread spread = spreads.get(phase.limb());
    double factor = winding == Winding.HV ? spread.hvOhms : spread.lvOhms;
    return factor * drawnOhms(winding);
  }

  /** Returns the layer of a winding's leakage flux in the core. */
  static int layer(Winding winding) {
    return winding == Winding.HV ? 0 : 1;
  }

  /** Returns its core, not magnetised. */
  Core core() {
    double hv = permeance(Winding.HV, reactance() * HV_LEAKAGE);
    double lv = permeance(Winding.LV, reactance() * (1 - HV_LEAKAGE));
    if (plate.group().singlePhase()) {
      return Core.oneLimb(limb(Phase.A), hv, lv);
    }
    // Equal fluxes of three limbs share the air, so that each has a third of its permeance.
    double air = 3 * permeance(Winding.HV, ZERO_SEQUENCE);
    return Core.threeLimbs(limb(Phase.A), limb(Phase.B), limb(Phase.C), air, hv, lv);
  }

  private LimbPath limb(Phase phase) {
    boolean centre = phase == Phase.B;
    double factor = spreads.get(phase.limb()).iron;
    double metres = size() * (LIMB_METRES + (centre ? CENTRE_YOKE_METRES : OUTER_YOKE_METRES));
    // The T joints of the centre limb are shared by both sides, so that half the gap counts.
    double gap = centre ? JOINTS_METRES / 2 : JOINTS_METRES;
    return new SteelPath(Steel.GRAIN_ORIENTED, coreSquareMetres, metres * factor, gap * factor);
  }

  private double wantedSquareMillimetres(Winding winding) {
    double density =
        plate.conductor(winding) == Material.COPPER
            ? COPPER_AMPS_PER_SQUARE_MILLIMETRE
            : ALUMINIUM_AMPS_PER_SQUARE_MILLIMETRE;
    return ratedVoltAmperes() / ratedVolts(winding) / density;
  }

  private double drawnOhms(Winding winding) {
    return ohms(winding, squareMillimetres(winding));
  }

  private double ohms(Winding winding, double squareMillimetres) {
    double metres = turns.rated(winding) * meanTurnMetres(winding);
    Material metal = plate.conductor(winding);
    return metal.ohmsAt20(metres, squareMillimetres) * metal.factorFrom20(REFERENCE_CELSIUS);
  }

  /** Of one phase. */
  private double ratedVoltAmperes() {
    return plate.kilovoltAmperes() * 1000 / Turns.phases(plate);
  }

  /** Of one phase. */
  private double ratedVolts(Winding winding) {
    return Turns.phaseVolts(
        plate.group().connection(winding),
        winding == Winding.HV ? plate.hvVolts() : plate.lvVolts());
  }

  private double ratedOhms(Winding winding) {
    return ratedVolts(winding) * ratedVolts(winding) / ratedVoltAmperes();
  }

  private double impedance() {
    return plate.impedancePercent() / 100;
  }

  private double size() {
    return StrictMath.sqrt(coreSquareMetres / PATTERN_SQUARE_METRES);
  }

  /** Per unit. */
  private double reactance() {
    double resistance = 0;
    for (Winding winding : Winding.values()) {
      resistance += drawnOhms(winding) / ratedOhms(winding);
    }
    return StrictMath.sqrt(impedance() * impedance() - resistance * resistance);
  }

  /**
   * Returns the permeance in which a limb's turns of that winding have this reactance in
   * symmetrical operation. The two halves of a zigzag on one limb belong to different phases; with
   * both currents a phase has {@code 3·ω·Λ·(N/2)²} (derived).
   */
  private double permeance(Winding winding, double perUnit) {
    double count = turns.rated(winding);
    boolean zigzag = plate.group().connection(winding) == Connection.Z;
    double squared = count * count * (zigzag ? 0.75 : 1);
    return perUnit * ratedOhms(winding) / (2 * Math.PI * plate.hertz() * squared);
  }

  private static double asDrawn(double value) {
    return new BigDecimal(value).round(DRAWING_DIGITS).doubleValue();
  }
}
