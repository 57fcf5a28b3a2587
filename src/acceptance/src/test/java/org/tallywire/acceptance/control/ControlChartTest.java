package org.tallywire.acceptance.control;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.math.RoundingMode;
import java.util.Arrays;
import java.util.Collections;
import java.util.List;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;

/**
 * The worked examples of the NIST/SEMATECH e-Handbook, sections 6.3.2.2 and 6.3.2.4. Data and
 * results found second-hand, in agreement in several places; the handbook itself was not read.
 */
class ControlChartTest {

  private static final List<BigDecimal> FLOW_RATES =
      figures("49.6 47.6 49.9 51.3 47.8 51.2 52.6 52.4 53.6 52.1");
  private static final List<BigDecimal> PROCESS =
      figures(
          "52.0 47.0 53.0 49.3 50.1 47.0 51.0 50.1 51.2 50.5"
              + " 49.6 47.6 49.9 51.3 47.8 51.2 52.6 52.4 53.6 52.1");
  private static final List<BigDecimal> AVERAGES =
      figures(
          "50.60 49.52 50.56 50.18 50.16 49.21 49.75 49.85 50.26 50.33"
              + " 50.11 49.36 49.52 50.05 49.38 49.92 50.73 51.23 51.94 51.99");
  private static final WeightedAverage EXAMPLE =
      new WeightedAverage(new BigDecimal("0.3"), BigDecimal.valueOf(3));
  private static final BigDecimal TARGET = new BigDecimal("50");
  private static final BigDecimal DEVIATION = new BigDecimal("2.0539");

  @Test
  @DisplayName("6.3.2.2: flow rates have the mean 50.81, the limits 45.8159 and 55.8041")
  void individuals() {
    Individuals history = Individuals.of(FLOW_RATES);
    ControlChart chart = history.figures(FLOW_RATES);
    assertEquals(new BigDecimal("50.8100"), rounded(chart.centre(), 4));
    assertEquals(new BigDecimal("1.8778"), rounded(history.meanRange(), 4));
    assertEquals(new BigDecimal("45.8159"), rounded(chart.points().get(0).lower(), 4));
    assertEquals(new BigDecimal("55.8041"), rounded(chart.points().get(0).upper(), 4));
    assertTrue(chart.out().isEmpty(), chart.sentence());
    assertEquals(9, history.ranges(FLOW_RATES).points().size());
  }

  @Test
  @DisplayName("6.3.2.2: later figures are held against the limits of the history")
  void laterFigures() {
    Individuals history = Individuals.of(FLOW_RATES);
    ControlChart chart = history.figures(figures("55.80 55.81 45.82 45.81"));
    assertEquals(List.of(2, 4), numbers(chart));
    assertEquals(
        "individuals: 2 of 4 points beyond the limits: no. 2 (55.81), no. 4 (45.81);"
            + " the last point has the limits 45.8159 and 55.8041 around 50.81",
        chart.sentence());
    // 3.267 x 1.87778 = 6.1347
    assertEquals(List.of(3), numbers(history.ranges(figures("50 56.13 49.99"))));
  }

  @Test
  @DisplayName("6.3.2.4: all 20 averages as printed, the limits 47.4115 and 52.5884, none out")
  void weightedAverage() {
    ControlChart chart = EXAMPLE.chart(PROCESS, TARGET, DEVIATION, WeightedAverage.Limits.STEADY);
    assertEquals(
        AVERAGES, chart.points().stream().map(point -> rounded(point.value(), 2)).toList());
    assertEquals(52.5884, chart.points().get(0).upper().doubleValue(), 5e-5);
    // printed cut, not rounded: 47.41157
    assertEquals(47.4115, chart.points().get(0).lower().doubleValue(), 1e-4);
    assertTrue(chart.out().isEmpty(), chart.sentence());
  }

  @Test
  @DisplayName("Exact limits start at L times lambda times s and end at the steady ones")
  void exactLimits() {
    List<ControlChart.Point> points =
        EXAMPLE.chart(PROCESS, TARGET, DEVIATION, WeightedAverage.Limits.EXACT).points();
    assertEquals(50 + 3 * 0.3 * 2.0539, points.get(0).upper().doubleValue(), 1e-12);
    // second: s times the root of 0.3^2 + (0.3 x 0.7)^2, the variance of the sum itself
    double second = Math.sqrt(0.3 * 0.3 + 0.21 * 0.21);
    assertEquals(50 - 3 * second * 2.0539, points.get(1).lower().doubleValue(), 1e-12);
    assertEquals(52.5884, points.get(19).upper().doubleValue(), 5e-5);
  }

  @Test
  @DisplayName("A history of one figure repeated has no range, and its own figure is not out")
  void nothingMoves() {
    List<BigDecimal> same = Collections.nCopies(7, new BigDecimal("0.1"));
    Individuals history = Individuals.of(same);
    assertEquals(0, history.standardDeviation().signum());
    assertTrue(history.figures(same).out().isEmpty());
    assertEquals(List.of(1), numbers(history.figures(figures("0.1001"))));
    ControlChart averages =
        EXAMPLE.chart(same, history.mean(), BigDecimal.ZERO, WeightedAverage.Limits.EXACT);
    assertTrue(averages.out().isEmpty(), averages.sentence());
  }

  @Test
  @DisplayName("Too few figures and settings out of their range are refused")
  void refused() {
    assertThrows(IllegalArgumentException.class, () -> Individuals.of(figures("1")));
    for (String weight : List.of("0", "-0.1", "1.01")) {
      assertThrows(
          IllegalArgumentException.class,
          () -> new WeightedAverage(new BigDecimal(weight), BigDecimal.ONE));
    }
    assertThrows(
        IllegalArgumentException.class, () -> new WeightedAverage(BigDecimal.ONE, BigDecimal.ZERO));
    assertThrows(
        IllegalArgumentException.class,
        () -> EXAMPLE.chart(PROCESS, TARGET, DEVIATION.negate(), WeightedAverage.Limits.EXACT));
    assertThrows(
        IllegalArgumentException.class,
        () -> EXAMPLE.chart(List.of(), TARGET, DEVIATION, WeightedAverage.Limits.EXACT));
  }

  private static List<Integer> numbers(ControlChart chart) {
    return chart.out().stream().map(ControlChart.Point::number).toList();
  }

  private static BigDecimal rounded(BigDecimal figure, int decimals) {
    return figure.setScale(decimals, RoundingMode.HALF_EVEN);
  }

  private static List<BigDecimal> figures(String words) {
    return Arrays.stream(words.split(" ", -1)).map(BigDecimal::new).toList();
  }
}
