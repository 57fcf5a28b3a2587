package org.tallywire.acceptance.uncertainty;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.math.BigDecimal;
import org.apache.commons.math3.stat.regression.OLSMultipleLinearRegression;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;

/**
 * GUM H.3: the library's straight line, carried on with its correlation. Data and results found.
 */
class ThermometerTest {

  private static final double[] READ = {
    21.521, 22.012, 22.512, 23.003, 23.507, 23.999, 24.513, 25.002, 25.503, 26.010, 26.511
  };
  private static final double[] CORRECTION = {
    -0.171, -0.169, -0.166, -0.159, -0.164, -0.165, -0.156, -0.157, -0.159, -0.161, -0.160
  };

  @Test
  @DisplayName("GUM H.3: correction of a thermometer at 30 degrees is -0.1494(41)")
  void correctionAtThirtyDegrees() {
    double[][] above20 = new double[READ.length][1];
    for (int i = 0; i < READ.length; i++) {
      above20[i][0] = READ[i] - 20;
    }
    OLSMultipleLinearRegression line = new OLSMultipleLinearRegression();
    line.newSampleData(CORRECTION, above20);
    double[] parameters = line.estimateRegressionParameters();
    double[] errors = line.estimateRegressionParametersStandardErrors();
    double s2 = line.estimateErrorVariance();
    double covariance = line.estimateRegressionParametersVariance()[0][1] * s2;
    assertEquals(-0.17120379, parameters[0], 5e-9);
    assertEquals(0.0021826977, parameters[1], 5e-11);
    assertEquals(0.0034975640, Math.sqrt(s2), 5e-11);
    double r = covariance / (errors[0] * errors[1]);
    assertEquals(-0.930430, r, 5e-7);

    Component intercept = fitted("intercept", errors[0]);
    Component slope = fitted("slope", errors[1]).withSensitivity(BigDecimal.TEN);
    Correlation both = new Correlation("intercept", "slope", BigDecimal.valueOf(r));
    Uncertainty u = Budget.of(intercept, slope).with(both).combine();
    assertEquals(0.0028776, intercept.standardUncertainty().doubleValue(), 5e-8);
    assertEquals(0.00066793877, slope.standardUncertainty().doubleValue(), 5e-12);
    assertEquals(-0.149377, parameters[0] + 10 * parameters[1], 5e-7);
    assertEquals(0.0041386, u.standard().doubleValue(), 5e-8);
    assertEquals(9, u.degreesOfFreedom().orElseThrow().intValueExact());
  }

  private static Component fitted(String name, double standardError) {
    return Component.normal(name, BigDecimal.valueOf(standardError), BigDecimal.ONE)
        .withDegreesOfFreedom(BigDecimal.valueOf(READ.length - 2L));
  }
}
