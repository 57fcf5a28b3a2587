package org.tallywire.acceptance.resistance;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.io.BufferedReader;
import java.io.IOException;
import java.io.InputStreamReader;
import java.nio.charset.StandardCharsets;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.apache.commons.math3.analysis.ParametricUnivariateFunction;
import org.apache.commons.math3.fitting.leastsquares.LevenbergMarquardtOptimizer;
import org.apache.commons.math3.linear.ArrayRealVector;
import org.apache.commons.math3.stat.descriptive.SummaryStatistics;
import org.apache.commons.math3.stat.regression.SimpleRegression;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.tallywire.acceptance.resistance.CurveFit.Fitted;
import org.tallywire.acceptance.resistance.CurveFit.Points;

/** The fits of production against certified values of NIST's Statistical Reference Datasets. */
class CurveFitTest {

  private static final String JAR = "/org/apache/commons/math3/";

  private static final double[] MISRA1A = {
    10.07, 77.6, 14.73, 114.9, 17.94, 141.1, 23.93, 190.8, 29.61, 239.9, 35.18, 289.0, 40.02, 332.8,
    44.82, 378.4, 50.76, 434.8, 55.05, 477.3, 61.01, 536.8, 66.40, 593.1, 75.47, 689.1, 81.78, 760.0
  };

  private static final double[] DANWOOD = {
    2.138, 1.309, 3.421, 1.471, 3.597, 1.490, 4.340, 1.565, 4.882, 1.611, 5.660, 1.680
  };

  private static final double[] NORRIS = {
    0.1, 0.2, 338.8, 337.4, 118.1, 118.2, 888.0, 884.6, 9.2, 10.1, 228.1, 226.5, 668.5, 666.3,
    998.5, 996.3, 449.1, 448.6, 778.9, 777.0, 559.2, 558.2, 0.3, 0.4, 0.1, 0.6, 778.1, 775.5, 668.8,
    666.9, 339.3, 338.0, 448.9, 447.5, 10.8, 11.6, 557.7, 556.0, 228.3, 228.1, 998.0, 995.8, 888.8,
    887.6, 119.6, 120.2, 0.3, 0.3, 0.6, 0.3, 557.6, 556.8, 339.3, 339.1, 888.0, 887.2, 998.5, 999.0,
    778.9, 779.0, 10.2, 11.1, 117.6, 118.3, 228.9, 229.2, 668.4, 669.1, 449.2, 448.9, 0.2, 0.5
  };

  private static final ParametricUnivariateFunction RISE =
      curve(
          (x, p) -> p[0] * (1 - Math.exp(-p[1] * x)),
          (x, p) -> new double[] {1 - Math.exp(-p[1] * x), p[0] * x * Math.exp(-p[1] * x)});

  private static final ParametricUnivariateFunction POWER =
      curve(
          (x, p) -> p[0] * Math.pow(x, p[1]),
          (x, p) -> new double[] {Math.pow(x, p[1]), p[0] * Math.log(x) * Math.pow(x, p[1])});

  private static final ParametricUnivariateFunction TWO_DECAYS =
      curve(
          (x, p) -> p[0] + p[1] * Math.exp(-x * p[3]) + p[2] * Math.exp(-x * p[4]),
          (x, p) -> {
            double e = Math.exp(-x * p[3]);
            double f = Math.exp(-x * p[4]);
            return new double[] {1, e, f, -x * p[1] * e, -x * p[2] * f};
          });

  // NIST StRD Misra1a: the form of a current that rises in a winding
  @ParameterizedTest
  @CsvSource({"500, 1e-4", "250, 5e-4"})
  void misra1a(double b1, double b2) {
    Fitted fitted = CurveFit.fit(RISE, vector(b1, b2), points(MISRA1A)).orElseThrow();
    certified(fitted, 0, 2.3894212918E+02, 2.7070075241E+00);
    certified(fitted, 1, 5.5015643181E-04, 7.2668688436E-06);
    close(1.2455138894E-01, fitted.squares(), 1e-8);
    assertEquals(12, fitted.freedom());
  }

  // NIST StRD DanWood
  @ParameterizedTest
  @CsvSource({"1, 5", "0.7, 4"})
  void danWood(double b1, double b2) {
    Fitted fitted = CurveFit.fit(POWER, vector(b1, b2), points(DANWOOD)).orElseThrow();
    certified(fitted, 0, 7.6886226176E-01, 1.8281973860E-02);
    certified(fitted, 1, 3.8604055871E+00, 5.1726610913E-02);
    close(4.3173084083E-03, fitted.squares(), 1e-8);
  }

  // NIST StRD MGH17, start 2: the form of a settling with two time constants
  @Test
  void mgh17() throws IOException {
    Fitted fitted =
        CurveFit.fit(TWO_DECAYS, vector(0.5, 1.5, -1, 0.01, 0.02), mgh17Points()).orElseThrow();
    certified(fitted, 0, 3.7541005211E-01, 2.0723153551E-03);
    certified(fitted, 1, 1.9358469127E+00, 2.2031669222E-01);
    certified(fitted, 2, -1.4646871366E+00, 2.2175707739E-01);
    certified(fitted, 3, 1.2867534640E-02, 4.4861358114E-04);
    certified(fitted, 4, 2.2122699662E-02, 8.9471996575E-04);
    close(5.4648946975E-05, fitted.squares(), 1e-8);
    assertEquals(28, fitted.freedom());
  }

  // start 1 is far off: no end, or the right one, but never a wrong one
  @Test
  void mgh17FromAfarIsRightOrNothing() throws IOException {
    Optional<Fitted> fitted = CurveFit.fit(TWO_DECAYS, vector(50, 150, -100, 1, 2), mgh17Points());
    System.out.println("MGH17 start 1: " + fitted);
    fitted.ifPresent(f -> close(5.4648946975E-05, f.squares(), 1e-8));
  }

  @Test
  void noPointMoreThanParametersIsNotFitted() {
    double[] two = {10.07, 77.6, 14.73, 114.9};
    double[] three = {10.07, 77.6, 14.73, 114.9, 17.94, 141.1};
    assertTrue(CurveFit.fit(RISE, vector(250, 5e-4), points(two)).isEmpty());
    assertEquals(1, CurveFit.fit(RISE, vector(250, 5e-4), points(three)).orElseThrow().freedom());
  }

  @Test
  void whatHasNoEndOrIsNotANumberIsNotFitted() {
    assertTrue(CurveFit.fit(RISE, vector(Double.NaN, 1), points(MISRA1A)).isEmpty());
    assertTrue(CurveFit.fit(RISE, vector(1, 1e9), points(MISRA1A)).isEmpty());
    double[] flat = {1, 0, 1, 1, 1, 2, 1, 3, 1, 4};
    assertTrue(CurveFit.fit(Decay.CURVE, vector(1, 0, 1), points(flat)).isEmpty());
  }

  // NIST StRD Norris; the library's sum of squares loses some digits to its one pass
  @Test
  void norris() {
    SimpleRegression line = Line.regression(points(NORRIS));
    close(-0.262323073774029, line.getIntercept(), 1e-11);
    close(1.00211681802045, line.getSlope(), 1e-13);
    close(0.429796848199937E-03, line.getSlopeStdErr(), 1e-9);
    close(26.6173985294224, line.getSumSquaredErrors(), 1e-9);
  }

  // NIST StRD univariate; NumAcc3 and 4 defeat a sum of squares
  @ParameterizedTest
  @CsvSource({
    "NumAcc1, 10000002, 1, 1e-14",
    "NumAcc2, 1.2, 0.1, 1e-12",
    "NumAcc3, 1000000.2, 0.1, 1e-8",
    "NumAcc4, 10000000.2, 0.1, 1e-7",
    "Mavro, 2.00185600000000, 0.000429123454003053, 1e-12",
  })
  void univariate(String set, double mean, double deviation, double share) throws IOException {
    double[] y = column(JAR + "stat/data/" + set + ".txt");
    ArrayRealVector values = new ArrayRealVector(y);
    SummaryStatistics statistics = Line.statistics(new Points(values, values));
    close(mean, statistics.getMean(), 1e-14);
    close(deviation, statistics.getStandardDeviation(), share);
  }

  private static void certified(Fitted fitted, int parameter, double value, double deviation) {
    close(value, fitted.value(parameter), 1e-7);
    close(deviation, fitted.uncertainty(parameter), 1e-5);
  }

  private static void close(double certified, double computed, double share) {
    assertEquals(certified, computed, Math.abs(certified) * share);
  }

  private static ArrayRealVector vector(double... values) {
    return new ArrayRealVector(values);
  }

  /** Pairs of y, x as the datasets list them. */
  private static Points points(double... pairs) {
    ArrayRealVector x = new ArrayRealVector(pairs.length / 2);
    ArrayRealVector y = new ArrayRealVector(pairs.length / 2);
    for (int i = 0; i < pairs.length / 2; i++) {
      y.setEntry(i, pairs[2 * i]);
      x.setEntry(i, pairs[2 * i + 1]);
    }
    return new Points(x, y);
  }

  private static Points mgh17Points() throws IOException {
    List<Double> pairs = new ArrayList<>();
    for (String line : lines(JAR + "fitting/leastsquares/MGH17.dat")) {
      for (String word : line.trim().split("\\s+", -1)) {
        pairs.add(Double.valueOf(word));
      }
    }
    assertEquals(2 * 33, pairs.size());
    return points(pairs.stream().mapToDouble(d -> d).toArray());
  }

  private static double[] column(String resource) throws IOException {
    return lines(resource).stream().mapToDouble(Double::parseDouble).toArray();
  }

  /** The lines of data: from line 61 on. */
  private static List<String> lines(String resource) throws IOException {
    try (BufferedReader reader =
        new BufferedReader(
            new InputStreamReader(
                LevenbergMarquardtOptimizer.class.getResourceAsStream(resource),
                StandardCharsets.UTF_8))) {
      return reader.lines().skip(60).filter(line -> !line.isBlank()).toList();
    }
  }

  private interface Value {
    double at(double x, double... p);
  }

  private interface Gradient {
    double[] at(double x, double... p);
  }

  private static ParametricUnivariateFunction curve(Value value, Gradient gradient) {
    return new ParametricUnivariateFunction() {
      @Override
      public double value(double x, double... p) {
        return value.at(x, p);
      }

      @Override
      public double[] gradient(double x, double... p) {
        return gradient.at(x, p);
      }
    };
  }
}
