package org.tallywire.simulator.physics;

import java.util.Arrays;

/**
 * A small system of linear equations, solved by Gauss's elimination with scaled row pivots: volts,
 * ampere-turns and webers stand side by side in it. It is filled and solved again and again.
 */
final class Elimination {

  private final int size;
  private final double[][] rows;
  private final double[] right;
  private final double[] scale;

  /** A system of so many equations, all zero. */
  Elimination(int size) {
    this.size = size;
    this.rows = new double[size][size];
    this.right = new double[size];
    this.scale = new double[size];
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
    for (int row = 0; row < size; row++) {
      scale[row] = 0;
      for (double value : rows[row]) {
        scale[row] = Math.max(scale[row], Math.abs(value));
      }
    }
    for (int column = 0; column < size; column++) {
      bringUp(column);
      double[] top = rows[column];
      for (int row = column + 1; row < size; row++) {
        double factor = rows[row][column] / top[column];
        if (factor != 0) {
          for (int k = column + 1; k < size; k++) {
            rows[row][k] -= factor * top[k];
          }
          right[row] -= factor * right[column];
        }
      }
    }
    double[] found = new double[size];
    for (int row = size - 1; row >= 0; row--) {
      double value = right[row];
      for (int k = row + 1; k < size; k++) {
        value -= rows[row][k] * found[k];
      }
      found[row] = value / rows[row][row];
    }
    return found;
  }

  private void bringUp(int column) {
    int best = column;
    double most = -1;
    for (int row = column; row < size; row++) {
      double share = Math.abs(rows[row][column]) / scale[row];
      if (share > most) {
        most = share;
        best = row;
      }
    }
    if (!(most > 0)) {
      throw new ArithmeticException("the equations do not determine unknown " + column);
    }
    double[] row = rows[best];
    rows[best] = rows[column];
    rows[column] = row;
    double value = right[best];
    right[best] = right[column];
    right[column] = value;
    double scaled = scale[best];
    scale[best] = scale[column];
    scale[column] = scaled;
  }
}
