package org.tallywire.acceptance.winding;

import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.apache.commons.math3.fraction.BigFraction;
import org.apache.commons.math3.fraction.BigFractionField;
import org.apache.commons.math3.linear.Array2DRowFieldMatrix;
import org.apache.commons.math3.linear.ArrayFieldVector;
import org.apache.commons.math3.linear.FieldDecompositionSolver;
import org.apache.commons.math3.linear.FieldLUDecomposition;
import org.apache.commons.math3.linear.FieldMatrix;
import org.apache.commons.math3.linear.FieldVector;

/**
 * Linear equations in the three limb voltages per turn, exact: tells which other sums of limb
 * voltages they decide. Independent rows have a Gram matrix that can be inverted; a vector is
 * decided if it is its own projection on the rows.
 */
final class Span {

  private final List<FieldVector<BigFraction>> rows = new ArrayList<>();
  private final List<BigFraction> values = new ArrayList<>();

  static FieldVector<BigFraction> vector(BigFraction... components) {
    return new ArrayFieldVector<>(BigFractionField.getInstance(), components);
  }

  static FieldVector<BigFraction> zero() {
    return vector(BigFraction.ZERO, BigFraction.ZERO, BigFraction.ZERO);
  }

  static FieldVector<BigFraction> ones() {
    return vector(BigFraction.ONE, BigFraction.ONE, BigFraction.ONE);
  }

  /** Adds an equation; returns false, and adds nothing, if those before decide the row already. */
  boolean add(FieldVector<BigFraction> row, BigFraction value) {
    if (valueOf(row).isPresent()) {
      return false;
    }
    rows.add(row);
    values.add(value);
    return true;
  }

  /** Returns the value that the equations give a sum of limb voltages, if they decide it. */
  Optional<BigFraction> valueOf(FieldVector<BigFraction> sum) {
    if (rows.isEmpty()) {
      return sum.equals(zero()) ? Optional.of(BigFraction.ZERO) : Optional.empty();
    }
    FieldMatrix<BigFraction> matrix = matrix();
    FieldMatrix<BigFraction> gram = matrix.multiply(matrix.transpose());
    FieldDecompositionSolver<BigFraction> solver = new FieldLUDecomposition<>(gram).getSolver();
    FieldVector<BigFraction> weights = solver.solve(matrix.operate(sum));
    if (!matrix.preMultiply(weights).equals(sum)) {
      return Optional.empty();
    }
    return Optional.of(weights.dotProduct(vector(values.toArray(BigFraction[]::new))));
  }

  private FieldMatrix<BigFraction> matrix() {
    FieldMatrix<BigFraction> matrix =
        new Array2DRowFieldMatrix<>(BigFractionField.getInstance(), rows.size(), 3);
    for (int i = 0; i < rows.size(); i++) {
      matrix.setRowVector(i, rows.get(i));
    }
    return matrix;
  }
}
