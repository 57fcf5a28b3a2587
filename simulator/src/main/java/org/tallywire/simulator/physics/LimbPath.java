package org.tallywire.simulator.physics;

import org.tallywire.simulator.physics.Steel.Magnetisation;

/**
 * The way of the flux through one limb from yoke to yoke: limb, its share of the yokes, joints.
 *
 * <p>A {@link Magnetisation} says where it stands; its place is that of the steel, or the force of
 * a linear path.
 */
public sealed interface LimbPath permits SteelPath, LinearPath {

  /**
   * Returns what a state means.
   *
   * @param direction in which it moves on, ±1: there the slopes count
   */
  Point point(Magnetisation state, int direction);

  /**
   * Flux and force at a state, and how they grow with its place.
   *
   * @param flux Wb
   * @param force magnetomotive force from yoke to yoke, A
   */
  record Point(double flux, double force, double fluxSlope, double forceSlope) {
    /** Returns the reluctance to a small change, A/Wb. */
    double slopeReluctance() {
      return forceSlope / fluxSlope;
    }
  }

  /** Returns the state at a place to which it moved straight from another state. */
  Magnetisation moved(Magnetisation from, double place);

  /**
   * Returns the state of that flux density without any field.
   *
   * @throws IllegalArgumentException if it cannot keep as much
   */
  Magnetisation residual(double tesla);

  /** Returns the flux density of a state. */
  double tesla(Magnetisation state);

  /** Returns the reluctance to a sinusoidal flux of that peak around a residual magnetisation. */
  Reluctance alternating(double peakWeber, Magnetisation residual, double hertz);

  /**
   * Force by flux of a sinusoidal flux, A/Wb. The parts named loss are in phase with the voltage.
   *
   * @param chord the force by the flux
   * @param slope how the force grows with the peak of the flux
   */
  record Reluctance(double chord, double chordLoss, double slope, double slopeLoss) {}
}
