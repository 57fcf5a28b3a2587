package org.tallywire.simulator.physics;

import org.tallywire.simulator.physics.Steel.Magnetisation;

/**
 * A limb of steel with its share of the yokes, in series with a gap of air that stands for all
 * joints.
 *
 * @param steel of limb and yokes
 * @param squareMetres of limb and yokes
 * @param metres length of the limb and its share of the yokes
 * @param gapMetres length of the air; 0 for none
 */
public record SteelPath(Steel steel, double squareMetres, double metres, double gapMetres)
    implements LimbPath {

  private double gapReluctance() {
    return gapMetres / (Steel.VACUUM_PERMEABILITY * squareMetres);
  }

  @Override
  public Point point(Magnetisation state, int direction) {
    Steel.Point at = steel.point(state, direction);
    double flux = squareMetres * at.tesla();
    double fluxSlope = squareMetres * at.teslaSlope();
    return new Point(
        flux,
        at.field() * metres + gapReluctance() * flux,
        fluxSlope,
        at.fieldSlope() * metres + gapReluctance() * fluxSlope);
  }

  @Override
  public Magnetisation moved(Magnetisation from, double place) {
    return steel.moved(from, place);
  }

  @Override
  public Magnetisation residual(double tesla) {
    return steel.residual(tesla);
  }

  @Override
  public double tesla(Magnetisation state) {
    return steel.point(state, 1).tesla();
  }

  @Override
  public Reluctance alternating(double peakWeber, Magnetisation residual, double hertz) {
    double peak = Math.max(peakWeber / squareMetres, Steel.LEAST_PEAK_TESLA);
    Steel.Field field = steel.alternating(peak, residual, hertz);
    double perTesla = metres / squareMetres;
    return new Reluctance(
        field.inPhaseWithFlux() / peak * perTesla + gapReluctance(),
        field.inPhaseWithVolts() / peak * perTesla,
        field.growth() * perTesla + gapReluctance(),
        field.lossGrowth() * perTesla);
  }
}
