package org.tallywire.simulator.physics;

import org.tallywire.simulator.physics.Steel.Magnetisation;

/**
 * A limb whose flux is in proportion to the force, as textbooks have it: no saturation, no loss.
 *
 * @param reluctance A/Wb, above 0
 */
public record LinearPath(double reluctance) implements LimbPath {

  @Override
  public Point point(Magnetisation state, int direction) {
    return new Point(state.place() / reluctance, state.place(), 1 / reluctance, 1);
  }

  @Override
  public Magnetisation moved(Magnetisation from, double place) {
    return new Magnetisation(place, 0);
  }

  @Override
  public Magnetisation residual(double tesla) {
    if (tesla != 0) {
      throw new IllegalArgumentException("a linear path keeps no flux: " + tesla + " T");
    }
    return Magnetisation.NONE;
  }

  @Override
  public double tesla(Magnetisation state) {
    throw new UnsupportedOperationException("a linear path has no area");
  }

  @Override
  public Reluctance alternating(double peakWeber, Magnetisation residual, double hertz) {
    return new Reluctance(reluctance, 0, reluctance, 0);
  }
}
