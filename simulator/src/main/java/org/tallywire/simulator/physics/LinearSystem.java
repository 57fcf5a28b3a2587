package org.tallywire.simulator.physics;

import java.util.Arrays;
import org.apache.commons.math3.linear.Array2DRowRealMatrix;
import org.apache.commons.math3.linear.ArrayRealVector;
import org.apache.commons.math3.linear.DecompositionSolver;
import org.apache.commons.math3.linear.LUDecomposition;

/**
 * A small system of linear equations, filled and, by the library, solved again and again. Volts,
 * ampere-turns and webers stand side by side in it, so each equation is first brought to the size
 * of 1, by a power of two that changes no digit.
 */
final class LinearSystem {

  /** Nearly ideal cores have pivots of any size; only none at all is refused. */
  private static final double NO_PIVOT = Double.MIN_NORMAL;

  private final double[][] rows;
  private final double[] right;

  /** A system of so many equations, all zero. */
  LinearSystem(int size) {
    this.rows = new double[size][size];
    this.right = new double[size];
  }

  void clear() {
    for (double[] row : rows) {
      Arrays.fill(row, 0);
    }
    Arrays.fill(right, 0);
  }

  void add(int row, int column, double value) {
    rows[row][column] += value;
  }

  void addRight(int row, double value) {
    right[row] += value;
  }

  /**
   * Returns the unknowns; the equations are used up.
   *
   * @throws ArithmeticException if the equations do not determine them
   */
  double[] solve() {
    if (right.length == 0) {
      return new double[0];
    }
    for (int row = 0; row < right.length; row++) {
      scale(row);
    }
    DecompositionSolver solver =
        new LUDecomposition(new Array2DRowRealMatrix(rows, false), NO_PIVOT).getSolver();
    if (!solver.isNonSingular()) {
      throw new ArithmeticException("the equations do not determine all unknowns");
    }
    return solver.solve(new ArrayRealVector(right, false)).toArray();
  }

  private void scale(int row) {
    double most = 0;
    for (double value : rows[row]) {
      most = Math.max(most, Math.abs(value));
    }
    double factor = most > 0 ? Math.scalb(1, -Math.getExponent(most)) : 1;
    for (int column = 0; column < right.length; column++) {
      rows[row][column] *= factor;
    }
    right[row] *= factor;
  }
}
