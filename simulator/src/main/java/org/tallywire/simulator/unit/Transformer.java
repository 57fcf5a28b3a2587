package org.tallywire.simulator.unit;

import java.util.List;
import java.util.Random;
import java.util.stream.IntStream;
import java.util.stream.Stream;
import org.apache.commons.math3.complex.Complex;
import org.tallywire.simulator.scenario.Fault;
import org.tallywire.simulator.scenario.Scenario;

/**
 * The unit under test, invented: "Hollow Lane Repair Shop", unit HL-0231, 250 kVA, 11 000 V delta /
 * 433 V star with neutral, Dyn11, 50 Hz, five HV taps of +5 % to −5 %, impedance 4.5 %, copper HV,
 * aluminium LV, three-limb core.
 *
 * <p>Turns, resistances and reluctances follow from its dimensions. Dimensions, permeability and
 * joint gaps are invented so that the known figures come out: 1.6 T at rated voltage, rated
 * impedance, some milliamperes at 40 V. Phases are 0 to 2 for A, B, C; phase B sits on the centre
 * limb.
 */
public final class Transformer {

  public static final int PHASES = 3;
  public static final int TAPS = 5;
  public static final int PRINCIPAL_TAP = 3;
  public static final double HERTZ = 50;
  public static final int LV_TURNS = 30;

  private static final double VOLT_AMPERES = 250_000;
  private static final double HV_VOLTS = 11_000;
  private static final double LV_PHASE_VOLTS = 433 / Math.sqrt(3);
  private static final double TAP_STEP = 0.025;
  private static final double IMPEDANCE = 0.045;
  private static final double REFERENCE_CELSIUS = 75;

  private static final double HV_MEAN_TURN_METRES = 0.85;
  private static final double HV_SQUARE_MILLIMETRES = 3.0;
  private static final double LV_MEAN_TURN_METRES = 0.62;
  private static final double LV_SQUARE_MILLIMETRES = 222;

  private static final double VACUUM_PERMEABILITY = 4e-7 * Math.PI;
  private static final double CORE_SQUARE_METRES = 0.0235;
  private static final double LIMB_METRES = 0.45;
  private static final double OUTER_YOKE_METRES = 0.80;
  private static final double CENTRE_YOKE_METRES = 0.16;
  private static final double JOINT_METRES = 0.00025;
  private static final double RELATIVE_PERMEABILITY = 2200;
  private static final double LOSS_TANGENT = 0.35;

  /** Zero-sequence reactance with the other windings open, per unit: 0.3 to 0.6, from memory. */
  private static final double ZERO_SEQUENCE = 0.5;

  private static final double RELUCTANCE_SPREAD = 0.01;
  private static final double RESISTANCE_SPREAD = 0.003;

  private final Fault fault;
  private final double[] hvOhms = new double[PHASES];
  private final double[] lvOhms = new double[PHASES];
  private final double[] reluctanceFactor = new double[PHASES];

  /** Builds the unit of that scenario: its spread of manufacture and its fault. */
  public Transformer(Scenario scenario) {
    Random random = scenario.random("manufacture");
    this.fault = Fault.of(scenario);
    for (int phase = 0; phase < PHASES; phase++) {
      hvOhms[phase] = hvOhmsByDesign() * (1 + Scenario.spread(random, RESISTANCE_SPREAD));
      lvOhms[phase] = lvOhmsByDesign() * (1 + Scenario.spread(random, RESISTANCE_SPREAD));
      reluctanceFactor[phase] = 1 + Scenario.spread(random, RELUCTANCE_SPREAD);
    }
  }

  /** Returns what is wrong with it. */
  public Fault fault() {
    return fault;
  }

  /** Returns the turns nearest to a voltage, given volts and turns of the other winding. */
  public static int nearestTurns(double volts, double otherVolts, int otherTurns) {
    return (int) Math.round(volts / otherVolts * otherTurns);
  }

  /** Returns the HV turns on a tap, 1 to 5; tap 1 has the most. */
  public static int hvTurns(int tap) {
    double volts = HV_VOLTS * (1 + (PRINCIPAL_TAP - tap) * TAP_STEP);
    return nearestTurns(volts, LV_PHASE_VOLTS, LV_TURNS);
  }

  /**
   * Returns the resistance of an HV phase on a tap from end to end, ohms at that temperature; turns
   * that are shorted do not count.
   */
  public double hvOhms(int phase, int tap, double celsius) {
    return copperOhms(phase, turnsInPath(phase, tap), celsius);
  }

  private double copperOhms(int phase, int turns, double celsius) {
    double share = (double) turns / hvTurns(PRINCIPAL_TAP);
    return hvOhms[phase] * share * Material.COPPER.factorFrom20(celsius);
  }

  /** Returns what is to be measured from LV line to neutral: the phase and a bad joint, ohms. */
  public double lvOhms(int phase, double celsius) {
    double winding = lvOhms[phase] * Material.ALUMINIUM.factorFrom20(celsius);
    return fault instanceof Fault.BadJoint joint && joint.phase() == phase
        ? winding * (1 + joint.share())
        : winding;
  }

  /** Returns the circuit that a ratio test on this tap sees; the LV winding is open. */
  public DeltaCircuit circuit(int tap, double celsius) {
    List<Coil> delta =
        IntStream.range(0, PHASES).mapToObj(phase -> hvCoil(phase, tap, celsius)).toList();
    return new DeltaCircuit(core(), delta, shortedTurns(celsius).toList(), HERTZ);
  }

  /**
   * Returns which part of the flux inside the HV winding also passes through the LV winding; the
   * rest is leakage, which runs beside the limb and is driven by the same force as it.
   */
  public Complex lvLinkage(int phase) {
    Complex limb = steel(LIMB_METRES).multiply(reluctanceFactor[phase]);
    return new Complex(leakageReluctance()).divide(limb.add(leakageReluctance()));
  }

  private MagneticCircuit core() {
    return new MagneticCircuit(
        IntStream.range(0, PHASES).mapToObj(this::reluctance).toList(), airPermeance());
  }

  private Complex reluctance(int phase) {
    boolean centre = phase == 1;
    Complex limb = steel(LIMB_METRES);
    Complex inside = limb.multiply(leakageReluctance()).divide(limb.add(leakageReluctance()));
    Complex yokes = steel(centre ? CENTRE_YOKE_METRES : OUTER_YOKE_METRES);
    double joints = 2 * JOINT_METRES / (VACUUM_PERMEABILITY * CORE_SQUARE_METRES);
    // The T joints of the centre limb are shared by both sides, so that half the gap counts.
    return inside.add(yokes).add(centre ? joints / 2 : joints).multiply(reluctanceFactor[phase]);
  }

  private static Complex steel(double metres) {
    double reluctance = metres / (RELATIVE_PERMEABILITY * VACUUM_PERMEABILITY * CORE_SQUARE_METRES);
    return new Complex(reluctance, reluctance * LOSS_TANGENT);
  }

  /** Half of the short-circuit reactance, as is common practice to give to each winding. */
  private static double leakageReluctance() {
    double resistance =
        (hvOhmsByDesign() * Material.COPPER.factorFrom20(REFERENCE_CELSIUS)
                + lvOhmsByDesign()
                    * Material.ALUMINIUM.factorFrom20(REFERENCE_CELSIUS)
                    * Math.pow((double) hvTurns(PRINCIPAL_TAP) / LV_TURNS, 2))
            / ratedOhms();
    double reactance = Math.sqrt(IMPEDANCE * IMPEDANCE - resistance * resistance) * ratedOhms();
    return reluctanceOf(reactance / 2);
  }

  private static double airPermeance() {
    return PHASES / reluctanceOf(ZERO_SEQUENCE * ratedOhms());
  }

  private static double reluctanceOf(double ohms) {
    return 2 * Math.PI * HERTZ * Math.pow(hvTurns(PRINCIPAL_TAP), 2) / ohms;
  }

  private static double ratedOhms() {
    return PHASES * HV_VOLTS * HV_VOLTS / VOLT_AMPERES;
  }

  private static double hvOhmsByDesign() {
    double metres = hvTurns(PRINCIPAL_TAP) * HV_MEAN_TURN_METRES;
    return Material.COPPER.ohmsAt20(metres, HV_SQUARE_MILLIMETRES);
  }

  private static double lvOhmsByDesign() {
    return Material.ALUMINIUM.ohmsAt20(LV_TURNS * LV_MEAN_TURN_METRES, LV_SQUARE_MILLIMETRES);
  }

  private Coil hvCoil(int phase, int tap, double celsius) {
    return new Coil(phase, turnsInPath(phase, tap), new Complex(hvOhms(phase, tap, celsius)));
  }

  private int turnsInPath(int phase, int tap) {
    return fault instanceof Fault.ShortedTurns shorted && shorted.phase() == phase
        ? hvTurns(tap) - shorted.turns()
        : hvTurns(tap);
  }

  private Stream<Coil> shortedTurns(double celsius) {
    if (!(fault instanceof Fault.ShortedTurns shorted)) {
      return Stream.empty();
    }
    int turns = shorted.turns();
    double ohms = copperOhms(shorted.phase(), turns, celsius);
    double reactance = 2 * Math.PI * HERTZ * bundleHenries(turns);
    return Stream.of(new Coil(shorted.phase(), turns, new Complex(ohms, reactance)));
  }

  /**
   * The inductance in air of a bundle of turns, an estimate of the leakage of a short: {@code
   * N²·μ0·r·(ln(8r/ρ) − 2)}, textbook formula of the circular ring, from memory. The bundle's
   * radius ρ is that of its copper with as much space again between the conductors.
   */
  private static double bundleHenries(int turns) {
    double radius = HV_MEAN_TURN_METRES / (2 * Math.PI);
    double bundle = Math.sqrt(2 * turns * HV_SQUARE_MILLIMETRES * 1e-6 / Math.PI);
    return turns * turns * VACUUM_PERMEABILITY * radius * (Math.log(8 * radius / bundle) - 2);
  }
}
