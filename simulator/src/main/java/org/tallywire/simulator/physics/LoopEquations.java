package org.tallywire.simulator.physics;

import java.util.Arrays;
import java.util.List;

/**
 * What Kirchhoff's laws of a network's loops need: resistance and leakage inductance between loops,
 * and how many turns of a loop are on each limb.
 *
 * <p>The flux linkage of a loop is {@code Σ L·i + Σ N·φ}. The limbs' fluxes stay unknowns of their
 * own, so that nearly ideal cores lose no digits.
 */
final class LoopEquations {

  private final Loops loops;
  private final Core core;

  /** By loops. */
  final double[][] ohms;

  /** By loops: leakage and own inductance. */
  final double[][] henries;

  /** By loop and limb. */
  final double[][] turns;

  private final boolean[] resistive;

  LoopEquations(Loops loops, Core core) {
    this.loops = loops;
    this.core = core;
    int size = loops.size();
    this.ohms = new double[size][size];
    this.henries = new double[size][size];
    this.turns = new double[size][core.limbs()];
    this.resistive = new boolean[size];
    for (int one = 0; one < size; one++) {
      fillTurns(one);
      for (int other = 0; other < size; other++) {
        fill(one, other);
      }
      resistive[one] = allZero(henries[one]) && allZero(turns[one]);
    }
  }

  private static boolean allZero(double[] numbers) {
    return Arrays.stream(numbers).allMatch(number -> number == 0);
  }

  /** Returns whether no coil is in a loop. */
  boolean resistive(int loop) {
    return resistive[loop];
  }

  private void fillTurns(int loop) {
    List<Branch> branches = loops.branches();
    for (int branch = 0; branch < branches.size(); branch++) {
      int sense = loops.sense(loop, branch);
      branches
          .get(branch)
          .coil()
          .ifPresent(coil -> turns[loop][coil.limb()] += sense * coil.turns());
    }
  }

  private void fill(int one, int other) {
    List<Branch> branches = loops.branches();
    for (int a = 0; a < branches.size(); a++) {
      int sense = loops.sense(one, a);
      if (sense == 0) {
        continue;
      }
      ohms[one][other] += sense * loops.sense(other, a) * branches.get(a).ohms();
      for (int b = 0; b < branches.size(); b++) {
        henries[one][other] += sense * loops.sense(other, b) * mutualHenries(a, b);
      }
    }
  }

  /** Returns the inductance between two branches beside the flux of the core. */
  private double mutualHenries(int a, int b) {
    List<Branch> branches = loops.branches();
    if (branches.get(a).coil().isEmpty() || branches.get(b).coil().isEmpty()) {
      return 0;
    }
    Coil one = branches.get(a).coil().get();
    Coil other = branches.get(b).coil().get();
    double own = a == b ? one.henries() : 0;
    boolean shared = one.limb() == other.limb() && one.layer() == other.layer();
    return shared ? own + core.leakage(one.layer()) * one.turns() * other.turns() : own;
  }

  /**
   * Returns the voltage along each branch that flux and current induce while they change.
   *
   * @param branchRates change of each branch's current, A/s (or its phasor's {@code ω·i})
   * @param limbRates change of each limb's flux, Wb/s
   */
  double[] induced(double[] branchRates, double[] limbRates) {
    List<Branch> branches = loops.branches();
    double[] layerRates = new double[core.limbs() * core.layers()];
    for (int branch = 0; branch < branches.size(); branch++) {
      double rate = branchRates[branch];
      branches.get(branch).coil().ifPresent(coil -> layerRates[place(coil)] += coil.turns() * rate);
    }
    double[] volts = new double[branches.size()];
    for (int branch = 0; branch < volts.length; branch++) {
      if (branches.get(branch).coil().isPresent()) {
        Coil coil = branches.get(branch).coil().get();
        double shared =
            limbRates[coil.limb()] + core.leakage(coil.layer()) * layerRates[place(coil)];
        volts[branch] = coil.turns() * shared + coil.henries() * branchRates[branch];
      }
    }
    return volts;
  }

  private int place(Coil coil) {
    return coil.limb() * core.layers() + coil.layer();
  }
}
