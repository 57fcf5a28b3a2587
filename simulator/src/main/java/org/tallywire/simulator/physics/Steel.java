package org.tallywire.simulator.physics;

/**
 * Core steel: field strength by flux density, with saturation, hysteresis and eddy currents.
 *
 * <p>Without hysteresis the polarisation follows the Langevin function of the field, {@code J =
 * Js·L(H/a)}. Hysteresis is the equation of Coleman and Hodgdon (1987): the field is that of this
 * curve and a share {@code z} of the coercive field, and {@code z} nears the direction of the
 * movement by {@code dz = σ(1 − z·direction)·|dJ|}. Small loops then have the law of Rayleigh, and
 * a wide loop loses four times the coercive field times its peak.
 *
 * <p>The more the steel is magnetised, the less it follows small changes: by the law of Gans the
 * reversible permeability falls as 3·L′, so that σ is greater by as much (joining the two is
 * practice). All three laws are from memory. Functions of {@link StrictMath}, so that every machine
 * finds the same digits.
 *
 * @param saturationTesla Js, the greatest polarisation
 * @param shapeAmpsPerMetre a
 * @param coerciveAmpsPerMetre Hc; zero for steel without hysteresis
 * @param pinningPerTesla σ of steel that is not magnetised
 */
public record Steel(
    double saturationTesla,
    double shapeAmpsPerMetre,
    double coerciveAmpsPerMetre,
    double pinningPerTesla) {

  /** Of the vacuum, H/m. */
  public static final double VACUUM_PERMEABILITY = 4e-7 * Math.PI;

  /**
   * Grain-oriented steel, invented to common figures: 2.03 T, some 10 A/m coercive, about 35 A/m at
   * 1.6 T, initial relative permeability 1400.
   */
  public static final Steel GRAIN_ORIENTED = new Steel(2.03, 5, 10, 56);

  private static final double LAMINATION_METRES = 0.27e-3;
  private static final double OHM_METRES = 0.48e-6;
  static final double LEAST_PEAK_TESLA = 1e-6;

  /** Below this square of x the series are better: they err by less than 1e-11. */
  private static final double SMALL_SQUARE = 0.01;

  private static final double NEARLY_SATURATED = 0.99;
  private static final double SAME_PLACE = 1e-13;
  private static final int MOST_STEPS = 50;

  /**
   * How a piece of steel is magnetised.
   *
   * @param place on the Langevin curve, as the argument of the function
   * @param pinning z, −1 to 1
   */
  public record Magnetisation(double place, double pinning) {
    static final Magnetisation NONE = new Magnetisation(0, 0);
  }

  /**
   * Field strength of a sinusoidal flux density at its peak, and how it grows with the peak. The
   * part in phase with the voltage is core loss.
   */
  record Field(double inPhaseWithFlux, double inPhaseWithVolts, double growth, double lossGrowth) {}

  /** Returns coth x − 1/x. */
  static double langevin(double x) {
    double square = x * x;
    if (square < SMALL_SQUARE) {
      return x * (1 / 3.0 - square * (1 / 45.0 - square * (2 / 945.0 - square / 4725)));
    }
    double left = StrictMath.exp(-2 * Math.abs(x));
    return Math.copySign((1 + left) / (1 - left), x) - 1 / x;
  }

  /** Returns 1/x² − 1/sinh²x, the slope of the Langevin function. */
  static double langevinSlope(double x) {
    double square = x * x;
    if (square < SMALL_SQUARE) {
      return 1 / 3.0 - square * (1 / 15.0 - square * (2 / 189.0 - square / 675));
    }
    double left = StrictMath.exp(-2 * Math.abs(x));
    return 1 / square - 4 * left / ((1 - left) * (1 - left));
  }

  /**
   * Returns the place without hysteresis of a flux density: Cohen's approximation to the inverse
   * Langevin function (1991), then Newton's method with the flux of the air.
   */
  double place(double tesla) {
    double size = Math.abs(tesla);
    double y = Math.min(NEARLY_SATURATED, size / saturationTesla);
    double air = VACUUM_PERMEABILITY * shapeAmpsPerMetre;
    double x = Math.max(y * (3 - y * y) / (1 - y * y), (size - saturationTesla) / air);
    for (int step = 0; step < MOST_STEPS; step++) {
      double change =
          (saturationTesla * langevin(x) + air * x - size)
              / (saturationTesla * langevinSlope(x) + air);
      x -= change;
      if (Math.abs(change) <= SAME_PLACE * x) {
        break;
      }
    }
    return Math.copySign(x, tesla);
  }

  /**
   * Field and flux density at a state, and how they grow with its place.
   *
   * @param field A/m
   */
  record Point(double field, double tesla, double fieldSlope, double teslaSlope) {}

  /** Returns what a state means while it moves on in that direction, ±1. */
  Point point(Magnetisation state, int direction) {
    double x = state.place();
    double field = shapeAmpsPerMetre * x + coerciveAmpsPerMetre * state.pinning();
    double fieldSlope =
        shapeAmpsPerMetre
            + coerciveAmpsPerMetre * pinningByPlace() * (1 - state.pinning() * direction);
    return new Point(
        field,
        saturationTesla * langevin(x) + VACUUM_PERMEABILITY * field,
        fieldSlope,
        saturationTesla * langevinSlope(x) + VACUUM_PERMEABILITY * fieldSlope);
  }

  /** Returns the state at a place to which the steel moved straight from another state. */
  Magnetisation moved(Magnetisation from, double place) {
    double way = place - from.place();
    double end = Math.signum(way);
    double left = StrictMath.exp(-pinningByPlace() * Math.abs(way));
    return new Magnetisation(place, end - (end - from.pinning()) * left);
  }

  /** σ·dJ by place: the law of Gans and the slope of the curve cancel. */
  private double pinningByPlace() {
    return pinningPerTesla * saturationTesla / 3;
  }

  /** Returns the greatest flux density that can stay without a field: all of Hc holds it. */
  public double mostResidualTesla() {
    return saturationTesla * langevin(coerciveAmpsPerMetre / shapeAmpsPerMetre);
  }

  /**
   * Returns the state of that flux density without a field.
   *
   * @throws IllegalArgumentException if the coercive field cannot hold as much
   */
  Magnetisation residual(double tesla) {
    double most = mostResidualTesla();
    if (!(Math.abs(tesla) <= most)) {
      throw new IllegalArgumentException(
          "residual flux density " + tesla + " T: this steel keeps at most " + most + " T");
    }
    if (tesla == 0) {
      return Magnetisation.NONE;
    }
    // The air has no flux, as there is no field.
    double place = new Steel(saturationTesla, 0, 0, 0).place(tesla);
    double pinning = -shapeAmpsPerMetre * place / coerciveAmpsPerMetre;
    return new Magnetisation(place, Math.max(-1, Math.min(1, pinning)));
  }

  /**
   * Returns the field of a sinusoidal flux density of that peak around a residual magnetisation.
   * Loss is the loop's area, and eddy currents {@code ω·B·d²/(12ρ)} (classical formula).
   */
  Field alternating(double peakTesla, Magnetisation residual, double hertz) {
    double peak = Math.max(peakTesla, LEAST_PEAK_TESLA);
    double centre =
        saturationTesla * langevin(residual.place())
            + VACUUM_PERMEABILITY * shapeAmpsPerMetre * residual.place();
    double upper = place(centre + peak);
    double lower = place(centre - peak);
    double pinning = pinningPerTesla / (3 * langevinSlope(residual.place()));
    double pinned = pinning * peak;
    double tip = StrictMath.tanh(pinned);
    // tanh(x)/x; 1 for steel without hysteresis.
    double lag = pinned == 0 ? 1 : tip / pinned;
    double eddies = 2 * Math.PI * hertz * LAMINATION_METRES * LAMINATION_METRES / (12 * OHM_METRES);
    double curve = shapeAmpsPerMetre * (upper - lower) / 2;
    double curveGrowth = (curveGrowth(upper) + curveGrowth(lower)) / 2;
    double tipGrowth = pinning * (1 - tip * tip);
    double lagGrowth = (tipGrowth - pinning * lag) / Math.max(pinned, Double.MIN_NORMAL);
    return new Field(
        curve + coerciveAmpsPerMetre * tip,
        4 / Math.PI * coerciveAmpsPerMetre * (1 - lag) + eddies * peak,
        curveGrowth + coerciveAmpsPerMetre * tipGrowth,
        -4 / Math.PI * coerciveAmpsPerMetre * lagGrowth + eddies);
  }

  private double curveGrowth(double place) {
    return shapeAmpsPerMetre
        / (saturationTesla * langevinSlope(place) + VACUUM_PERMEABILITY * shapeAmpsPerMetre);
  }
}
