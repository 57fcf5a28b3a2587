package org.tallywire.acceptance.resistance;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.math.RoundingMode;
import java.util.ArrayList;
import java.util.List;
import java.util.Random;
import java.util.function.DoubleUnaryOperator;
import org.apache.commons.math3.linear.ArrayRealVector;
import org.apache.commons.math3.linear.RealVector;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.tallywire.acceptance.resistance.CurveFit.Points;
import org.tallywire.acceptance.resistance.Settling.Extrapolation;
import org.tallywire.acceptance.resistance.Settling.State;
import org.tallywire.acceptance.resistance.Settling.Trend;

/**
 * What a settling's figures are. The check values are those of an independent computation: curve
 * fit, regression and t quantiles of SciPy 1.17, with the rule's definitions (derived).
 */
class SettlingFiguresTest {

  private static List<TimedOhms> stream(String secondsAndOhms) {
    String[] words = secondsAndOhms.split(" ", -1);
    List<TimedOhms> stream = new ArrayList<>();
    for (int i = 0; i < words.length; i += 2) {
      stream.add(new TimedOhms(new BigDecimal(words[i]), new BigDecimal(words[i + 1])));
    }
    return stream;
  }

  private static List<TimedOhms> stream(int count, int places, DoubleUnaryOperator ohms) {
    List<TimedOhms> stream = new ArrayList<>();
    for (int i = 0; i < count; i++) {
      BigDecimal r = new BigDecimal(ohms.applyAsDouble(i));
      stream.add(new TimedOhms(BigDecimal.valueOf(i), r.setScale(places, RoundingMode.HALF_EVEN)));
    }
    return stream;
  }

  private static Settling judge(String secondsAndOhms) {
    return SettlingRule.USUAL.judge(stream(secondsAndOhms));
  }

  private static void assertNear(double expected, BigDecimal figure, double share) {
    assertEquals(expected, figure.doubleValue(), Math.abs(expected) * share);
  }

  @Test
  void aFallWithNoise() {
    Settling settling =
        judge(
            "0 0.300000 2 0.288946 4 0.280321 6 0.273601 8 0.268385 10 0.264305 12 0.261158"
                + " 14 0.258716 16 0.256757 18 0.255258 20 0.254114 22 0.253204");
    Extrapolation end = settling.end().orElseThrow();
    assertEquals(12, end.readings());
    assertNear(0.25001769, end.ohms(), 1e-7);
    assertNear(1.6707325e-5, end.uncertainty(), 1e-6);
    assertNear(7.9908754, end.timeConstant(), 1e-6);
    assertNear(0.0031855277, end.toGo(), 1e-6);
    assertNear(9.0146821e-6, end.toGoUncertainty(), 1e-6);
    assertNear(20.335512, end.secondsToWait(), 1e-6);
    assertEquals(
        "falls toward 0.250018 Ω (standard uncertainty 0.0000167 Ω), 1.19 % to go: wait 20.3 s",
        settling.reason());
  }

  // the readings scatter less than their last digit rounds: 1.13797 times what the fit says
  @Test
  void theLastDigitIsAllowedFor() {
    Settling settling =
        judge(
            "0.0 0.25056 0.8 0.25045 1.7 0.25035 2.5 0.25028 3.3 0.25022 4.2 0.25017 5.0 0.25014"
                + " 5.9 0.25011");
    Extrapolation end = settling.end().orElseThrow();
    assertEquals(8, end.readings());
    assertNear(0.25000247, end.ohms(), 1e-7);
    assertNear(1.1188651e-5, end.uncertainty(), 1e-4);
    assertNear(3.5438052, end.timeConstant(), 1e-6);
    assertNear(8.9249285e-6, end.toGoUncertainty(), 1e-4);
    assertEquals(0, end.secondsToWait().signum());
    assertEquals(
        "falls toward 0.250002 Ω (standard uncertainty 0.0000112 Ω), 0.0423 % to go, but the last"
            + " readings do not agree yet: take more",
        settling.reason());
  }

  // by the line over 72.4 s, not over the 68.9 s that it goes back: 0.171 % would be too little
  @Test
  void aTimeConstantLongerThanTheReadingsIsTheHorizon() {
    Settling settling =
        judge(
            "0.0 0.25062 8.6 0.25056 17.2 0.25050 25.8 0.25043 34.5 0.25039 43.1 0.25035 51.7"
                + " 0.25032 60.3 0.25027 68.9 0.25025");
    Trend trend = settling.trend().orElseThrow();
    assertEquals(9, trend.readings());
    assertNear(-5.3966239e-6, trend.slope(), 1e-7);
    assertNear(2.9205016e-7, trend.slopeUncertainty(), 1e-7);
    assertNear(3.3705241e-7, trend.significance(), 1e-5);
    assertNear(0.18003, trend.drift(), 1e-5);
    Extrapolation end = settling.end().orElseThrow();
    assertNear(72.4163, end.timeConstant(), 1e-5);
    assertNear(7.3863543e-5, end.uncertainty(), 1e-4);
    assertNear(6.8788373e-5, end.toGoUncertainty(), 1e-4);
  }

  // 0.0903 % by the line, and 0.0530 % by the curve, but that may be 0.1202 %
  @Test
  void whatTheCurveMayStillBringCountsToo() {
    Settling settling =
        judge(
            "0.0 0.25023 5.0 0.25021 10.1 0.25019 15.1 0.25016 20.1 0.25014 25.1 0.25013 30.2"
                + " 0.25011 35.2 0.25010");
    assertNear(0.0902689, settling.trend().orElseThrow().drift(), 1e-3);
    assertNear(0.000132504, settling.end().orElseThrow().toGo(), 1e-3);
    assertEquals(State.NOT_SETTLED, settling.state(), settling.reason());
  }

  @Test
  void aNearEndThatIsHiddenByScatterIsScatter() {
    Settling settling =
        judge("0.0 0.25080 21.9 0.25022 43.7 0.25012 65.6 0.25011 87.4 0.25004 109.3 0.25015");
    assertTrue(settling.end().isPresent());
    assertEquals(State.SCATTERED, settling.state());
    assertEquals(
        "no trend in the last 5 readings, but they scatter by 0.0255 %, too much to be sure within"
            + " 0.1 %; farthest off is the one at 87.4 s: look at the leads, and take more",
        settling.reason());
  }

  @Test
  void settledSaysOverWhatTimeAndOfHowMuch() {
    Settling settling = judge("0 0.25 2.5 0.25 5 0.25 7.5 0.25 10.04 0.2500000");
    assertEquals(
        "the last 5 readings, over 10 s, leave no more than 0.00004 % to come (0.1 % allowed)",
        settling.reason());
  }

  // steps of 0.001 Ω are just 0.1 % of the mean of 1 Ω: not too coarse
  @Test
  void aResolutionOfTheToleranceIsFineEnough() {
    Settling settling = judge("0 0.998 1 1.002 2 0.999 3 1.001 4 1.000");
    assertEquals(State.SCATTERED, settling.state());
    assertTrue(settling.reason().startsWith("no trend"), settling.reason());
  }

  // down to −0.1 Ω, and up without end: no resistance goes there
  @Test
  void whatEndsNowhereHasNoEnd() {
    for (DoubleUnaryOperator ohms :
        List.<DoubleUnaryOperator>of(
            t -> -0.1 + 0.5 * Math.exp(-t / 20), t -> 0.25 + 0.001 * Math.exp(t / 5))) {
      Settling settling = SettlingRule.USUAL.judge(stream(12, 9, ohms));
      assertTrue(settling.end().isEmpty(), settling.toString());
      assertEquals(State.NOT_SETTLED, settling.state());
    }
  }

  // the first reading lies off by chance in one of a hundred
  @Test
  void alikeReadingsAreAllTaken() {
    int all = 0;
    for (int seed = 0; seed < 5; seed++) {
      Random random = new Random(seed);
      Settling settling =
          SettlingRule.USUAL.judge(stream(20, 8, t -> 0.25 * (1 + 1e-5 * random.nextGaussian())));
      all += settling.trend().orElseThrow().readings() == 20 ? 1 : 0;
    }
    assertTrue(all >= 4, all + " of 5");
  }

  @Test
  void theFarthestFromTheLineMayBeTheLowest() {
    Tail tail = Tail.of(stream("0 1.0 1 2.0 2 1.5 3 4.0 4 5.0 5 6.0"));
    assertEquals(0, BigDecimal.valueOf(2).compareTo(Line.through(tail).farthest().seconds()));
  }

  // from 10 s on: 0.25 + 0.05 e^(−t / 4) at 10, 13, 16 s
  @Test
  void threePointsMayBeginAnywhere() {
    RealVector x = new ArrayRealVector(new double[] {10, 13, 16});
    RealVector y = x.map(t -> 0.25 + 0.05 * Math.exp(-t / 4));
    RealVector start = Decay.ThreePoints.of(new Points(x, y)).start().orElseThrow();
    assertEquals(0.25, start.getEntry(0), 1e-10);
    assertEquals(0.05, start.getEntry(1), 1e-8);
    assertEquals(0.25, start.getEntry(2), 1e-8);
  }

  @Test
  void ofTooFewTimesAllReadingsAreTaken() {
    Tail tail = Tail.of(stream("1 0.25 2 0.25 2 0.25"));
    assertEquals(3, tail.holding(5));
    assertEquals(1, tail.holding(1));
    assertEquals(3, tail.holding(2));
    assertEquals(2, tail.times());
  }

  // (1e-9)² / 12 + (1e-12 × 1000)² (derived)
  @Test
  void roundingIsThatOfTheLastDigitAndOfDoubles() {
    Tail tail = Tail.of(stream("1 1000.000000000 2 1000.000000000"));
    assertEquals(1e-18 / 12 + 1e-18, tail.roundingVariance(), 1e-24);
  }

  @Test
  void fiveReadingsAreEnoughForARule() {
    assertEquals(5, new SettlingRule(BigDecimal.ONE, 5, new BigDecimal("0.95")).least());
  }

  @ParameterizedTest
  @CsvSource({"-50,true", "-50.1,false", "250,true", "250.1,false", "20,true"})
  void aWindingIsBetweenTheseTemperatures(BigDecimal celsius, boolean plausible) {
    assertEquals(plausible, Celsius.plausible(celsius));
    assertFalse(Celsius.RANGE.isEmpty());
  }
}
