package org.tallywire.simulator.physics;

import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.apache.commons.math3.complex.Complex;
import org.tallywire.simulator.physics.LimbPath.Reluctance;
import org.tallywire.simulator.physics.Steel.Magnetisation;

/**
 * A network under an alternating source: sinusoidal quantities, effective values.
 *
 * <p>Unknowns are the currents of the loops, the fluxes of the limbs and the force between the
 * yokes, all complex. Only the limbs' forces are not linear; Newton's method finds them, always
 * from a core without flux, so that the same network gives the same digits whatever came before.
 */
final class Excitation implements Network.Alternating {

  private static final int MOST_PASSES = 500;
  private static final int MOST_HALVINGS = 30;
  private static final double SAME_FLUX = 1e-10;

  /** So far below the least peak of the steel its law is a straight line, and more is rounding. */
  private static final double SAME_WEBER = 1e-14;

  private final Core core;
  private final Map<String, Integer> nodes;
  private final Loops loops;
  private final LoopEquations equations;
  private final double volts;
  private final double hertz;
  private final double omega;
  private final int unknowns;
  private final LinearSystem system;

  /** Real parts of all unknowns, then imaginary parts. */
  private final double[] found;

  private final double[] realPotentials;
  private final double[] imaginaryPotentials;

  Excitation(Core core, Map<String, Integer> nodes, Loops loops, double volts, double hertz) {
    this.core = core;
    this.nodes = nodes;
    this.loops = loops;
    this.equations = new LoopEquations(loops, core);
    this.volts = volts;
    this.hertz = hertz;
    this.omega = 2 * Math.PI * hertz;
    this.unknowns = loops.size() + core.limbs() + (core.yokes() ? 1 : 0);
    this.system = new LinearSystem(2 * unknowns);
    this.found = solve();
    double[] realAmps = branchAmps(0);
    double[] imaginaryAmps = branchAmps(unknowns);
    this.realPotentials = potentials(realAmps, imaginaryAmps, unknowns, -omega, volts);
    this.imaginaryPotentials = potentials(imaginaryAmps, realAmps, 0, omega, 0);
  }

  @Override
  public Complex amps() {
    if (loops.sourceLoop().isEmpty()) {
      return Complex.ZERO;
    }
    int loop = loops.sourceLoop().getAsInt();
    return new Complex(found[loop], found[unknowns + loop]);
  }

  @Override
  public Optional<Complex> volts(String from, String to) {
    Integer one = nodes.get(from);
    Integer other = nodes.get(to);
    if (one == null || other == null || !loops.joined(one, other)) {
      return Optional.empty();
    }
    return Optional.of(
        new Complex(
            realPotentials[one] - realPotentials[other],
            imaginaryPotentials[one] - imaginaryPotentials[other]));
  }

  private double[] branchAmps(int offset) {
    double[] loopAmps = new double[loops.size()];
    System.arraycopy(found, offset, loopAmps, 0, loopAmps.length);
    return loops.branchAmps(loopAmps);
  }

  /** One part of all potentials: the drop of the resistances, and what the other part induces. */
  private double[] potentials(
      double[] amps, double[] otherAmps, int otherOffset, double rate, double sourceVolts) {
    double[] limbRates = new double[core.limbs()];
    for (int limb = 0; limb < limbRates.length; limb++) {
      limbRates[limb] = rate * found[otherOffset + loops.size() + limb];
    }
    double[] branchRates = new double[otherAmps.length];
    for (int branch = 0; branch < branchRates.length; branch++) {
      branchRates[branch] = rate * otherAmps[branch];
    }
    double[] drops = equations.induced(branchRates, limbRates);
    List<Branch> branches = loops.branches();
    for (int branch = 0; branch < drops.length; branch++) {
      drops[branch] += branches.get(branch).ohms() * amps[branch];
    }
    drops[drops.length - 1] -= sourceVolts;
    return loops.potentials(drops);
  }

  private double[] solve() {
    double[] at = pass(new double[2 * unknowns]);
    for (int pass = 0; pass < MOST_PASSES; pass++) {
      double[] next = pass(at);
      if (sameFluxes(at, next)) {
        return next;
      }
      at = nearer(at, next);
    }
    throw new IllegalStateException("the fluxes of the core are not found");
  }

  /** Solves all equations with the limbs' forces as straight lines that touch where they stand. */
  private double[] pass(double[] at) {
    system.clear();
    int limbs = core.limbs();
    int yokes = loops.size() + limbs;
    for (int loop = 0; loop < loops.size(); loop++) {
      for (int other = 0; other < loops.size(); other++) {
        double reactance = omega * equations.henries[loop][other];
        add(loop, other, equations.ohms[loop][other], reactance);
      }
      for (int limb = 0; limb < limbs; limb++) {
        double turns = equations.turns[loop][limb];
        add(loop, loops.size() + limb, 0, omega * turns);
        add(loops.size() + limb, loop, turns, 0);
      }
    }
    loops.sourceLoop().ifPresent(loop -> system.addRight(loop, volts));
    for (int limb = 0; limb < limbs; limb++) {
      touch(loops.size() + limb, at, reluctance(limb, at));
      if (core.yokes()) {
        add(loops.size() + limb, yokes, -1, 0);
        add(yokes, loops.size() + limb, 1, 0);
      }
    }
    if (core.yokes()) {
      add(yokes, yokes, -core.airPermeance(), 0);
    }
    return system.solve();
  }

  private void add(int row, int column, double real, double imaginary) {
    system.add(row, column, real);
    system.add(row, unknowns + column, -imaginary);
    system.add(unknowns + row, column, imaginary);
    system.add(unknowns + row, unknowns + column, real);
  }

  /** Along the flux the force grows by the slope, across it by the chord. */
  private void touch(int limb, double[] at, Reluctance reluctance) {
    add(limb, limb, -reluctance.chord(), -reluctance.chordLoss());
    double real = at[limb];
    double imaginary = at[unknowns + limb];
    double size = StrictMath.hypot(real, imaginary);
    if (size == 0) {
      return;
    }
    double along = reluctance.slope() - reluctance.chord();
    double alongLoss = reluctance.slopeLoss() - reluctance.chordLoss();
    double cos = real / size;
    double sin = imaginary / size;
    double realPart = along * cos - alongLoss * sin;
    double imaginaryPart = alongLoss * cos + along * sin;
    system.add(limb, limb, -realPart * cos);
    system.add(limb, unknowns + limb, -realPart * sin);
    system.add(unknowns + limb, limb, -imaginaryPart * cos);
    system.add(unknowns + limb, unknowns + limb, -imaginaryPart * sin);
    system.addRight(limb, -realPart * size);
    system.addRight(unknowns + limb, -imaginaryPart * size);
  }

  private Reluctance reluctance(int limb, double[] at) {
    int flux = loops.size() + limb;
    double peak = Math.sqrt(2) * StrictMath.hypot(at[flux], at[unknowns + flux]);
    Magnetisation residual = core.residual().get(limb);
    return core.limb(limb).alternating(peak, residual, hertz);
  }

  private boolean sameFluxes(double[] at, double[] next) {
    double change = 0;
    double most = 0;
    for (int limb = 0; limb < core.limbs(); limb++) {
      int real = loops.size() + limb;
      int imaginary = unknowns + real;
      double way = StrictMath.hypot(next[real] - at[real], next[imaginary] - at[imaginary]);
      change = Math.max(change, way);
      most = Math.max(most, StrictMath.hypot(next[real], next[imaginary]));
    }
    return change <= Math.max(SAME_FLUX * most, SAME_WEBER);
  }

  /**
   * Goes the whole way, or half of it and so on, until the limbs' forces fit better than before.
   */
  private double[] nearer(double[] at, double[] next) {
    double before = misfit(at);
    double share = 1;
    double[] tried = next;
    for (int halving = 0; halving < MOST_HALVINGS && misfit(tried) > before; halving++) {
      share /= 2;
      tried = new double[at.length];
      for (int k = 0; k < at.length; k++) {
        tried[k] = at[k] + share * (next[k] - at[k]);
      }
    }
    return tried;
  }

  /** Returns the sum of the squares of what the limbs' forces miss; all else is fulfilled. */
  private double misfit(double[] at) {
    double sum = 0;
    int size = loops.size();
    for (int limb = 0; limb < core.limbs(); limb++) {
      Reluctance reluctance = reluctance(limb, at);
      double real = at[size + limb];
      double imaginary = at[unknowns + size + limb];
      double missReal = -reluctance.chord() * real + reluctance.chordLoss() * imaginary;
      double missImaginary = -reluctance.chord() * imaginary - reluctance.chordLoss() * real;
      for (int loop = 0; loop < size; loop++) {
        missReal += equations.turns[loop][limb] * at[loop];
        missImaginary += equations.turns[loop][limb] * at[unknowns + loop];
      }
      if (core.yokes()) {
        missReal -= at[unknowns - 1];
        missImaginary -= at[2 * unknowns - 1];
      }
      sum += missReal * missReal + missImaginary * missImaginary;
    }
    return sum;
  }
}
