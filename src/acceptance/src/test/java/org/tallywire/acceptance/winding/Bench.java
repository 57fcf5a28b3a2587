package org.tallywire.acceptance.winding;

import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.OptionalDouble;
import java.util.Random;
import org.apache.commons.math3.linear.Array2DRowRealMatrix;
import org.apache.commons.math3.linear.RealMatrix;
import org.apache.commons.math3.linear.SingularValueDecomposition;

/**
 * Measures windings numerically with given reluctances: of all fluxes that the voltages allow,
 * those with the least energy in the core. Knows nothing of what the solver does.
 *
 * @param threeLimb whether the limb voltages add up to zero where the windings allow it
 * @param coupling nine numbers of a matrix that turns uncoupled fluxes of equal reluctance into
 *     those of the limbs
 */
record Bench(List<Winding> hv, List<Winding> lv, List<Double> coupling, boolean threeLimb) {

  private static final double NOTHING = 1e-9;

  /** Returns any coupling whose diagonal prevails, so that figures stay exact enough. */
  static List<Double> coupling(Random random) {
    List<Double> coupling = new ArrayList<>();
    for (int i = 0; i < 9; i++) {
      coupling.add(random.nextDouble() * 2 - 1 + (i % 4 == 0 ? 3 : 0));
    }
    return coupling;
  }

  /** Returns LV voltage for an exciting voltage of 1; empty for a short circuit. */
  OptionalDouble lvVoltage(Leads leads) {
    Map<String, double[]> nodes = new HashMap<>();
    List<double[]> zeros = new ArrayList<>();
    walk(hv, nodes, zeros);
    walk(lv, nodes, zeros);
    leads.ties().forEach(t -> zeros.add(difference(nodes, t.one(), t.other())));
    if (threeLimb) {
      zeros.add(new double[] {1, 1, 1});
    }
    zeros.add(difference(nodes, leads.excitePlus(), leads.exciteMinus()));
    RealMatrix rows = new Array2DRowRealMatrix(zeros.toArray(double[][]::new));
    RealMatrix right = new Array2DRowRealMatrix(zeros.size(), 1);
    right.setEntry(zeros.size() - 1, 0, 1);
    RealMatrix ease = new Array2DRowRealMatrix(3, 3);
    for (int i = 0; i < 9; i++) {
      ease.setEntry(i / 3, i % 3, coupling.get(i));
    }
    RealMatrix eased = rows.multiply(ease);
    RealMatrix limbs =
        ease.multiply(new SingularValueDecomposition(eased).getSolver().getInverse())
            .multiply(right);
    if (rows.multiply(limbs).subtract(right).getFrobeniusNorm() > NOTHING) {
      return threeLimb
          ? new Bench(hv, lv, coupling, false).lvVoltage(leads)
          : OptionalDouble.empty();
    }
    double[] measured = difference(nodes, leads.measurePlus(), leads.measureMinus());
    return OptionalDouble.of(
        new Array2DRowRealMatrix(measured).transpose().multiply(limbs).getEntry(0, 0));
  }

  private static void walk(
      List<Winding> windings, Map<String, double[]> nodes, List<double[]> zeros) {
    nodes.put(windings.get(0).from(), new double[3]);
    for (int pass = 0; pass < windings.size(); pass++) {
      for (Winding w : windings) {
        double[] from = nodes.get(w.from());
        double[] to = nodes.get(w.to());
        if (from != null && to == null) {
          nodes.put(w.to(), moved(from, w, -1));
        } else if (to != null && from == null) {
          nodes.put(w.from(), moved(to, w, 1));
        }
      }
    }
    for (Winding w : windings) {
      double[] over = moved(nodes.get(w.to()), w, 1);
      double[] from = nodes.get(w.from());
      zeros.add(new double[] {over[0] - from[0], over[1] - from[1], over[2] - from[2]});
    }
  }

  private static double[] moved(double[] potential, Winding winding, int sign) {
    double[] moved = potential.clone();
    moved[winding.limb() - 1] += sign * winding.turns().doubleValue();
    return moved;
  }

  private static double[] difference(Map<String, double[]> nodes, Terminal plus, Terminal minus) {
    double[] one = nodes.get(plus.iec());
    double[] other = nodes.get(minus.iec());
    return new double[] {one[0] - other[0], one[1] - other[1], one[2] - other[2]};
  }
}
