package org.tallywire.simulator.physics;

import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import org.apache.commons.math3.analysis.UnivariateFunction;
import org.apache.commons.math3.analysis.solvers.BrentSolver;
import org.tallywire.simulator.physics.Steel.Magnetisation;

/**
 * The limbs of a core, the air around them, and the residual magnetism of each limb.
 *
 * <p>Three limbs and the air stand between the same two points, upper and lower yoke: with the
 * magnetomotive forces F of the limbs, the forces f that their fluxes φ take and the drop θ between
 * the yokes, {@code F_k = f_k(φ_k) + θ} and {@code Σφ_k = θ·Λ_air} (Kirchhoff's laws of the
 * magnetic circuit). A single limb is closed on itself: {@code F = f(φ)}.
 *
 * <p>Beside this flux the coils of one limb and one layer share a leakage flux of {@code Λ_layer}
 * for each ampere-turn, classically drawn as a leakage inductance in series with the winding.
 */
public final class Core {

  private static final int MOST_TRIES = 200;
  private static final double SAME_PART = 1e-14;
  private static final double SAME = 1e-13;

  private final List<LimbPath> limbs;
  private final double airPermeance;
  private final double[] leakage;
  private List<Magnetisation> residual;

  private Core(List<LimbPath> limbs, double airPermeance, double[] leakage) {
    this.limbs = List.copyOf(limbs);
    this.airPermeance = airPermeance;
    this.leakage = leakage.clone();
    this.residual = Collections.nCopies(limbs.size(), Magnetisation.NONE);
  }

  /**
   * Returns a core of three limbs that share their yokes, not magnetised.
   *
   * @param airPermeance of the way back outside the core, Wb/A; zero for an ideal core
   * @param leakage permeance of each layer, Wb/A
   */
  public static Core threeLimbs(
      LimbPath first, LimbPath centre, LimbPath last, double airPermeance, double... leakage) {
    return new Core(List.of(first, centre, last), airPermeance, leakage);
  }

  /**
   * Returns the core of a single-phase unit, not magnetised.
   *
   * @param limb with the whole way back
   * @param leakage permeance of each layer, Wb/A
   */
  public static Core oneLimb(LimbPath limb, double... leakage) {
    return new Core(List.of(limb), 0, leakage);
  }

  /** Returns how many limbs carry windings: one or three. */
  public int limbs() {
    return limbs.size();
  }

  /**
   * Magnetises one limb; the flux density stays without any current.
   *
   * @throws IllegalArgumentException if its steel cannot keep as much
   */
  public void magnetise(int limb, double tesla) {
    List<Magnetisation> states = new ArrayList<>(residual);
    states.set(limb, limbs.get(limb).residual(tesla));
    residual = List.copyOf(states);
  }

  /** Takes all residual magnetism away. */
  public void demagnetise() {
    residual = Collections.nCopies(limbs.size(), Magnetisation.NONE);
  }

  /** Returns the flux density that stays in a limb of steel while no current flows. */
  public double residualTesla(int limb) {
    return limbs.get(limb).tesla(residual.get(limb));
  }

  LimbPath limb(int limb) {
    return limbs.get(limb);
  }

  int layers() {
    return leakage.length;
  }

  double leakage(int layer) {
    return leakage[layer];
  }

  double airPermeance() {
    return airPermeance;
  }

  /** Returns whether the limbs share yokes, so that a force can stand between these. */
  boolean yokes() {
    return limbs.size() > 1;
  }

  /** Returns how each limb is magnetised while no current flows. */
  List<Magnetisation> residual() {
    return residual;
  }

  /** Takes what direct current left behind. */
  void leave(List<Magnetisation> magnetisation) {
    residual = List.copyOf(magnetisation);
  }

  /**
   * Returns how the limbs are magnetised when the currents of these states have been taken away:
   * every limb then takes the same force from yoke to yoke, and the yokes pass on all flux. As more
   * force always means more flux, there is one such place.
   */
  List<Magnetisation> withoutCurrent(List<Magnetisation> states) {
    if (!yokes()) {
      return forced(states, 0);
    }
    double force = root(amps -> airPermeance * amps + flux(forced(states, amps)));
    return forced(states, force);
  }

  private double flux(List<Magnetisation> states) {
    double flux = 0;
    for (int limb = 0; limb < states.size(); limb++) {
      flux += limbs.get(limb).point(states.get(limb), 1).flux();
    }
    return flux;
  }

  /** Returns the states at which each limb takes that force, A. */
  private List<Magnetisation> forced(List<Magnetisation> states, double amps) {
    List<Magnetisation> forced = new ArrayList<>(states.size());
    for (int limb = 0; limb < states.size(); limb++) {
      LimbPath path = limbs.get(limb);
      Magnetisation from = states.get(limb);
      double way =
          root(change -> path.point(path.moved(from, from.place() + change), 1).force() - amps);
      forced.add(path.moved(from, from.place() + way));
    }
    return List.copyOf(forced);
  }

  /** Returns where a function that only grows is zero. */
  private static double root(UnivariateFunction growing) {
    double start = growing.value(0);
    if (start == 0) {
      return 0;
    }
    double end = start > 0 ? -1 : 1;
    while (growing.value(end) * start > 0) {
      end *= 2;
    }
    BrentSolver solver = new BrentSolver(SAME_PART, SAME, 0);
    return solver.solve(MOST_TRIES, growing, Math.min(0, end), Math.max(0, end));
  }
}
