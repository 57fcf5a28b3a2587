package org.tallywire.acceptance.resistance;

import java.util.Optional;
import org.apache.commons.math3.analysis.ParametricUnivariateFunction;
import org.apache.commons.math3.exception.MathArithmeticException;
import org.apache.commons.math3.exception.MathIllegalArgumentException;
import org.apache.commons.math3.exception.MathIllegalStateException;
import org.apache.commons.math3.fitting.leastsquares.LeastSquaresFactory;
import org.apache.commons.math3.fitting.leastsquares.LeastSquaresOptimizer.Optimum;
import org.apache.commons.math3.fitting.leastsquares.LevenbergMarquardtOptimizer;
import org.apache.commons.math3.fitting.leastsquares.MultivariateJacobianFunction;
import org.apache.commons.math3.linear.Array2DRowRealMatrix;
import org.apache.commons.math3.linear.ArrayRealVector;
import org.apache.commons.math3.linear.RealMatrix;
import org.apache.commons.math3.linear.RealVector;
import org.apache.commons.math3.linear.SingularValueDecomposition;
import org.apache.commons.math3.util.Pair;

/** Fits a curve to points by least squares: the library's Levenberg-Marquardt method. */
final class CurveFit {

  private static final int MOST_STEPS = 100;
  private static final double CLOSE = 1e-12;

  private CurveFit() {}

  /** Points to fit; both of the same length. */
  record Points(RealVector x, RealVector y) {}

  /**
   * A fitted curve.
   *
   * @param covariance of the parameters, from the scatter of the points about the curve
   * @param squares sum of the squared residuals
   * @param freedom points less parameters
   */
  record Fitted(RealVector parameters, RealMatrix covariance, double squares, int freedom) {

    double value(int parameter) {
      return parameters.getEntry(parameter);
    }

    double uncertainty(int parameter) {
      return Math.sqrt(covariance.getEntry(parameter, parameter));
    }
  }

  /**
   * Returns the curve, or nothing if the method finds no end, or an end at which the points do not
   * determine every parameter.
   */
  static Optional<Fitted> fit(ParametricUnivariateFunction curve, RealVector start, Points points) {
    int freedom = points.x().getDimension() - start.getDimension();
    if (freedom < 1) {
      return Optional.empty();
    }
    try {
      Optimum optimum =
          new LevenbergMarquardtOptimizer()
              .withCostRelativeTolerance(CLOSE)
              .withParameterRelativeTolerance(CLOSE)
              .optimize(
                  LeastSquaresFactory.create(
                      model(curve, points.x()), points.y(), start, null, MOST_STEPS, MOST_STEPS));
      double squares = optimum.getResiduals().dotProduct(optimum.getResiduals());
      RealMatrix covariance =
          new SingularValueDecomposition(optimum.getJacobian())
              .getCovariance(0)
              .scalarMultiply(squares / freedom);
      Fitted fitted = new Fitted(optimum.getPoint(), covariance, squares, freedom);
      return finite(fitted) ? Optional.of(fitted) : Optional.empty();
    } catch (MathIllegalStateException | MathIllegalArgumentException | MathArithmeticException e) {
      return Optional.empty();
    }
  }

  private static boolean finite(Fitted fitted) {
    return Double.isFinite(fitted.squares())
        && Double.isFinite(fitted.parameters().getL1Norm())
        && Double.isFinite(fitted.covariance().getNorm());
  }

  private static MultivariateJacobianFunction model(
      ParametricUnivariateFunction curve, RealVector x) {
    return point -> {
      double[] parameters = point.toArray();
      RealVector values = new ArrayRealVector(x.getDimension());
      RealMatrix slopes = new Array2DRowRealMatrix(x.getDimension(), parameters.length);
      for (int i = 0; i < x.getDimension(); i++) {
        values.setEntry(i, curve.value(x.getEntry(i), parameters));
        slopes.setRow(i, curve.gradient(x.getEntry(i), parameters));
      }
      return new Pair<>(values, slopes);
    };
  }
}
