package org.tallywire.simulator.unit;

import java.util.ArrayList;
import java.util.List;
import org.apache.commons.math3.linear.ArrayRealVector;
import org.apache.commons.math3.linear.RealVector;
import org.tallywire.simulator.scenario.Winding;
import org.tallywire.simulator.unit.PhaseWinding.Part;

/**
 * The voltage between two terminals as a sum over the limbs: three factors, one a limb.
 *
 * <p>The factors are such that limbs in a symmetrical system give a line voltage of 1 on either
 * side if each has 1: star 1/√3, delta 1, each half of a zigzag 1/3, single-phase 1 (derived). The
 * quotient of two of them is then a reading divided by the ratio of the rated line voltages.
 */
record LimbVoltages(Windings windings) {

  private static final int LIMBS = 3;
  private static final double NOTHING = 1e-9;

  /** Returns the factors from one terminal to another. */
  double[] between(Winding winding, int from, int to) {
    for (PhaseWinding one : windings.of(winding)) {
      if (one.from() == from && one.to() == to) {
        return factors(winding, one).toArray();
      }
      if (one.from() == to && one.to() == from) {
        return factors(winding, one).mapMultiply(-1).toArray();
      }
    }
    List<PhaseWinding> star = windings.of(winding);
    return factors(winding, star.get(from)).subtract(factors(winding, star.get(to))).toArray();
  }

  private RealVector factors(Winding winding, PhaseWinding one) {
    double each =
        switch (windings.group().connection(winding)) {
          case Y -> 1 / StrictMath.sqrt(3);
          case Z -> 1.0 / 3;
          case D, I -> 1;
        };
    RealVector sum = new ArrayRealVector(LIMBS);
    for (Part part : one.parts()) {
      sum.addToEntry(part.limb(), part.sense() * each);
    }
    return sum;
  }

  /**
   * Returns by what to multiply one voltage to have the other, whatever the limbs have; NaN if no
   * factor does it.
   *
   * @param zeros sums of limb voltages that are known to be zero
   */
  static double multiple(double[] wanted, double[] given, List<double[]> zeros) {
    List<RealVector> known = new ArrayList<>();
    for (double[] zero : zeros) {
      RealVector rest = without(zero, known);
      if (rest.getNorm() > NOTHING) {
        known.add(rest.unitVector());
      }
    }
    RealVector one = without(wanted, known);
    RealVector other = without(given, known);
    double factor = one.dotProduct(other) / other.dotProduct(other);
    return one.subtract(other.mapMultiply(factor)).getNorm() < NOTHING ? factor : Double.NaN;
  }

  /** Returns what is left of it at right angles to all those known to be zero. */
  private static RealVector without(double[] factors, List<RealVector> known) {
    RealVector rest = new ArrayRealVector(factors);
    for (RealVector zero : known) {
      rest = rest.subtract(zero.mapMultiply(rest.dotProduct(zero)));
    }
    return rest;
  }
}
