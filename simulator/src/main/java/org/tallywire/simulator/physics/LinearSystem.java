package org.tallywire.simulator.physics;

import java.util.Arrays;
import org.apache.commons.math3.linear.Array2DRowRealMatrix;
import org.apache.commons.math3.linear.ArrayRealVector;
import org.apache.commons.math3.linear.LUDecomposition;
import org.apache.commons.math3.linear.SingularMatrixException;

/**
 * A small system of linear equations, filled and solved again and again. Volts, ampere-turns and
 * webers stand side by side in it, so each equation is scaled to a greatest coefficient of 1 before
 * it goes to the library.
 */
final class LinearSystem {

  private static final double SINGULAR = 1e-300;

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
    if (rows.length == 0) {
      return new double[0];
    }
    for (int row = 0; row < rows.length; row++) {
      scale(row);
    }
    try {
      return new LUDecomposition(new Array2DRowRealMatrix(rows, false), SINGULAR)
          .getSolver()
          .solve(new ArrayRealVector(right, false))
          .toArray();
    } catch (SingularMatrixException notDetermined) {
      throw undetermined();
    }
  }

  private void scale(int row) {
    double most = 0;
    for (double value : rows[row]) {
      most = Math.max(most, Math.abs(value));
    }
    if (!(most > 0)) {
      throw undetermined();
    }
    for (int column = 0; column < rows.length; column++) {
      rows[row][column] /= most;
    }
    right[row] /= most;
  }

  private static ArithmeticException undetermined() {
    return new ArithmeticException("the equations do not determine the currents");
  }
}
