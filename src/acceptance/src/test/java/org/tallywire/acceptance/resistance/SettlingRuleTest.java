package org.tallywire.acceptance.resistance;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.math.RoundingMode;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Random;
import java.util.function.DoubleUnaryOperator;
import org.apache.commons.math3.linear.ArrayRealVector;
import org.apache.commons.math3.linear.RealVector;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.tallywire.acceptance.Rounds;
import org.tallywire.acceptance.resistance.CurveFit.Points;
import org.tallywire.acceptance.resistance.Settling.Extrapolation;
import org.tallywire.acceptance.resistance.Settling.State;

class SettlingRuleTest {

  // R∞ 0.25, A 0.05, τ 4 s at 0, 3, 6 s: derived check of the three-point formula
  @Test
  void threeReadingsGiveTheEndAndTheTimeConstant() {
    RealVector x = new ArrayRealVector(new double[] {0, 3, 6});
    RealVector y = new ArrayRealVector(new double[] {0.3, 0.27361832763705, 0.26115650800742});
    Decay.ThreePoints three = Decay.ThreePoints.of(new Points(x, y));
    assertEquals(0.25, three.end(), 1e-12);
    assertEquals(4, 1 / three.rate(), 1e-10);
    RealVector start = three.start().orElseThrow();
    assertEquals(0.05, start.getEntry(1), 1e-12);
  }

  @Test
  void threeReadingsInALineOrBentAwayGiveNoStart() {
    RealVector x = new ArrayRealVector(new double[] {0, 3, 6});
    for (double last : new double[] {0.1, 0.05}) {
      RealVector y = new ArrayRealVector(new double[] {0.3, 0.2, last});
      assertTrue(Decay.ThreePoints.of(new Points(x, y)).start().isEmpty());
    }
  }

  // the same curve, read each second: at 9 s are left 0.05 e^(−9/4) = 0.00526996 Ω, 2.1 %
  @Test
  void theEndOfAFallingCurveIsFoundWithTheTimeToWait() {
    Settling settling = judge(every(1, 10, 9, t -> 0.25 + 0.05 * Math.exp(-t / 4)));
    assertEquals(State.NOT_SETTLED, settling.state());
    Extrapolation end = settling.end().orElseThrow();
    assertEquals(10, end.readings());
    assertEquals(0.25, end.ohms().doubleValue(), 1e-7);
    assertEquals(4, end.timeConstant().doubleValue(), 1e-5);
    assertEquals(0.0052699612, end.toGo().doubleValue(), 1e-7);
    // τ ln(0.00526996 / 0.00025)
    assertEquals(12.193275, end.secondsToWait().doubleValue(), 1e-4);
    assertTrue(end.uncertainty().doubleValue() < 1e-8, end.toString());
    assertTrue(
        settling.reason().startsWith("falls toward 0.25")
            && settling.reason().endsWith("wait 12.2 s"),
        settling.reason());
  }

  @Test
  void figuresHaveEightDigits() {
    Settling settling = judge(every(1, 10, 6, t -> 0.25 + 0.05 * Math.exp(-t / 4)));
    assertTrue(settling.end().orElseThrow().ohms().precision() <= 8);
    assertTrue(settling.trend().orElseThrow().mean().precision() <= 8);
    assertEquals(settling, judge(every(1, 10, 6, t -> 0.25 + 0.05 * Math.exp(-t / 4))));
  }

  // from a rise in Mavro (NIST StRD); the figures by an independent computation
  @Test
  void theTrendIsTheRegression() {
    String[] last = "2.00200 2.00210 2.00220 2.00230 2.00240 2.00250".split(" ", -1);
    List<TimedOhms> stream = new ArrayList<>();
    for (int i = 0; i < 6; i++) {
      stream.add(new TimedOhms(BigDecimal.valueOf(i + 1, 1), new BigDecimal(last[i])));
    }
    Settling settling = judge(stream);
    Settling.Trend trend = settling.trend().orElseThrow();
    assertEquals(6, trend.readings());
    assertEquals("2.0022500", trend.mean().toPlainString());
    assertEquals(0.001, trend.slope().doubleValue(), 1e-9);
    assertEquals(State.SETTLED, settling.state(), settling.reason());
    stream.set(5, new TimedOhms(new BigDecimal("0.6"), new BigDecimal("2.00270")));
    trend = judge(stream).trend().orElseThrow();
    assertEquals(2.00228333333, trend.mean().doubleValue(), 1e-7);
    assertEquals(0.00128571428571, trend.slope().doubleValue(), 1e-10);
    assertEquals(0.000164957219768, trend.slopeUncertainty().doubleValue(), 1e-10);
    assertEquals(6.90065559341e-05, trend.scatter().doubleValue(), 1e-10);
    assertEquals(0.00146164323627, trend.significance().doubleValue(), 1e-8);
    assertEquals(0.135623334693, trend.drift().doubleValue(), 1e-7);
  }

  @Test
  void aRisingCurveHasAnEndToo() {
    Settling settling = judge(every(2, 8, 8, t -> 0.25 - 0.02 * Math.exp(-t / 6)));
    assertEquals(State.NOT_SETTLED, settling.state());
    assertTrue(settling.end().orElseThrow().toGo().signum() < 0);
    assertTrue(settling.reason().startsWith("rises toward 0.25"), settling.reason());
  }

  // at 14 τ e^(−14) of 20 % are left: nothing
  @Test
  void theSameCurveLaterIsSettled() {
    Settling settling = judge(every(4, 15, 8, t -> 0.25 + 0.05 * Math.exp(-t / 4)));
    assertEquals(State.SETTLED, settling.state(), settling.reason());
  }

  @Test
  void constantReadingsAreSettledFromTheFifthOn() {
    DoubleUnaryOperator constant = t -> 0.25;
    assertEquals(State.TOO_FEW, judge(every(5, 4, 5, constant)).state());
    Settling settling = judge(every(5, 5, 5, constant));
    assertEquals(State.SETTLED, settling.state());
    assertEquals(0, settling.trend().orElseThrow().slope().signum());
    assertEquals(0, settling.trend().orElseThrow().scatter().signum());
    assertEquals(0, BigDecimal.ONE.compareTo(settling.trend().orElseThrow().significance()));
    // one step of 1e-5 Ω is 0.004 % of 0.25 Ω
    assertEquals(0.004, settling.trend().orElseThrow().drift().doubleValue(), 1e-12);
    assertTrue(settling.end().isEmpty());
  }

  // IEEE C57.12.91-2020: resolution of 0.1 % or finer
  @ParameterizedTest
  @CsvSource({"1.000, SETTLED", "0.999, SCATTERED", "10.0, SCATTERED", "10.01, SETTLED"})
  void theLastDigitIsTheResolution(BigDecimal ohms, State state) {
    List<TimedOhms> stream = new ArrayList<>();
    for (int i = 0; i < 8; i++) {
      stream.add(new TimedOhms(BigDecimal.valueOf(i), ohms));
    }
    Settling settling = judge(stream);
    assertEquals(state, settling.state());
    assertEquals(
        state == State.SCATTERED, settling.reason().contains("too coarse"), settling.reason());
  }

  @Test
  void coarserStepsThanTheLastDigitAreSeen() {
    List<TimedOhms> stream = new ArrayList<>();
    for (int i = 0; i < 12; i++) {
      String ohms = i % 3 == 1 ? "0.25040" : "0.25000";
      stream.add(new TimedOhms(BigDecimal.valueOf(i), new BigDecimal(ohms)));
    }
    Settling settling = judge(stream);
    assertEquals(State.SCATTERED, settling.state());
    assertTrue(settling.reason().contains("in steps of 0.0004 Ω, 0.16 %"), settling.reason());
  }

  // a quantised fall: each step is the last digit
  @Test
  void aFallInStepsIsNotSettled() {
    Settling settling = judge(every(1, 12, 4, t -> 0.25 + 0.05 * Math.exp(-t / 4)));
    assertEquals(State.NOT_SETTLED, settling.state());
    assertEquals(0.25, settling.end().orElseThrow().ohms().doubleValue(), 0.0005);
  }

  @Test
  void aSpikeScattersUntilItIsPast() {
    for (int spike = 1; spike <= 5; spike++) {
      List<TimedOhms> stream = every(5, 12, 6, t -> 0.25);
      stream.set(
          12 - spike, new TimedOhms(stream.get(12 - spike).seconds(), new BigDecimal("0.3")));
      Settling settling = judge(stream);
      assertTrue(settling.state() != State.SETTLED, settling.toString());
    }
    List<TimedOhms> stream = every(5, 12, 6, t -> 0.25);
    stream.set(6, new TimedOhms(stream.get(6).seconds(), new BigDecimal("0.3")));
    Settling settling = judge(stream);
    assertEquals(State.SETTLED, settling.state(), settling.reason());
    assertEquals(5, settling.trend().orElseThrow().readings());
  }

  @Test
  void whatScattersNamesTheReadingFarthestOff() {
    List<TimedOhms> stream = noisy(new Random(5), 20, 0.25, 1e-3);
    stream.set(17, new TimedOhms(stream.get(17).seconds(), new BigDecimal("0.255000")));
    Settling settling = judge(stream);
    assertEquals(State.SCATTERED, settling.state(), settling.reason());
    assertTrue(settling.reason().contains("the one at 17.0 s"), settling.reason());
  }

  // by chance five noisy readings in a row may agree
  @Test
  void noiseFarBelowTheToleranceIsSettledAndFarAboveIsNot() {
    int agreeing = 0;
    int rounds = Rounds.of(20);
    for (int seed = 0; seed < rounds; seed++) {
      assertEquals(State.SETTLED, judge(noisy(new Random(seed), 20, 0.25, 1e-5)).state());
      agreeing += judge(noisy(new Random(seed), 20, 0.25, 3e-3)).state() == State.SETTLED ? 1 : 0;
    }
    assertTrue(agreeing <= 1 + rounds / 50, agreeing + " of " + rounds);
  }

  @Test
  void aWindingThatWarmsRisesInALine() {
    Settling settling = judge(every(5, 20, 7, t -> 0.25 * (1 + 5e-5 * t + 0.1 * Math.exp(-t / 2))));
    assertEquals(State.NOT_SETTLED, settling.state());
    assertTrue(settling.end().isEmpty(), settling.toString());
    assertTrue(settling.reason().contains("may be warming the winding"), settling.reason());
    assertEquals(0.25 * 5e-5, settling.trend().orElseThrow().slope().doubleValue(), 1e-7);
    // the same rise at a hundredth is within the tolerance, and is told
    Settling slow = judge(every(5, 20, 9, t -> 0.25 * (1 + 5e-8 * t)));
    assertEquals(State.SETTLED, slow.state(), slow.reason());
    assertTrue(slow.reason().endsWith("the test current may be warming the winding"));
  }

  @Test
  void aFallInALineHasNoEnd() {
    Settling settling = judge(every(5, 20, 7, t -> 0.25 * (1 - 5e-5 * t)));
    assertEquals(State.NOT_SETTLED, settling.state());
    assertTrue(settling.end().isEmpty());
    assertTrue(settling.reason().startsWith("falls by 0.4"), settling.reason());
    assertTrue(settling.reason().endsWith(": wait"), settling.reason());
  }

  // falls by 0.0285 % over 95 s: three times that and a step of 4e-5 % are below 0.1 %; 0.0342 %
  // not
  @ParameterizedTest
  @CsvSource({"3.0e-6, SETTLED", "3.6e-6, NOT_SETTLED"})
  void aTrendThatDoesNotBendCountsThreefold(double perSecond, State state) {
    assertEquals(state, judge(every(5, 20, 9, t -> 0.25 * (1 - perSecond * t))).state());
  }

  // without noise the fast part's rest shifts the end by 0.017 %, far more than its uncertainty
  @Test
  void theEarlyPartOfTwoTimeConstantsDropsOut() {
    Settling settling =
        judge(every(2, 20, 7, t -> 0.25 + 0.02 * Math.exp(-t / 20) + 0.2 * Math.exp(-t / 2.5)));
    Extrapolation end = settling.end().orElseThrow();
    assertTrue(end.readings() < 20, end.toString());
    assertEquals(20, end.timeConstant().doubleValue(), 0.5);
    assertEquals(0.25, end.ohms().doubleValue(), 1e-4);
  }

  @Test
  void orderDoesNotCountAndSpacingMayBeUneven() {
    List<TimedOhms> stream = new ArrayList<>();
    for (double t : new double[] {0, 0.7, 3, 3.5, 6, 10, 10.2, 13, 17, 18}) {
      stream.add(at(t, 9, 0.25 + 0.05 * Math.exp(-t / 9)));
    }
    Settling settling = judge(stream);
    assertEquals(0.25, settling.end().orElseThrow().ohms().doubleValue(), 1e-6);
    assertEquals(9, settling.end().orElseThrow().timeConstant().doubleValue(), 1e-3);
    Collections.reverse(stream);
    assertEquals(settling, judge(stream));
    Collections.shuffle(stream, new Random(3));
    assertEquals(settling, judge(stream));
  }

  @Test
  void readingsOfTheSameTimeCountOnce() {
    List<TimedOhms> stream = new ArrayList<>();
    for (String seconds : List.of("1", "1.0", "2", "3", "4", "4", "4.00")) {
      stream.add(new TimedOhms(new BigDecimal(seconds), new BigDecimal("0.25000")));
    }
    Settling few = judge(stream);
    assertEquals(State.TOO_FEW, few.state());
    assertEquals("4 readings at different times, and 5 are needed: wait", few.reason());
    stream.add(new TimedOhms(new BigDecimal("5"), new BigDecimal("0.25000")));
    Settling settling = judge(stream);
    assertEquals(State.SETTLED, settling.state());
    assertEquals(8, settling.trend().orElseThrow().readings());
    assertEquals(State.TOO_FEW, judge(List.of()).state());
  }

  @Test
  void onlyTheLastTwentyCount() {
    Settling settling = judge(every(5, 60, 5, t -> t < 200 ? 0.3 : 0.25));
    assertEquals(State.SETTLED, settling.state());
    assertEquals(20, settling.trend().orElseThrow().readings());
  }

  @Test
  void timesMayBeginAnywhere() {
    List<TimedOhms> stream = every(1, 12, 9, t -> 0.25 + 0.05 * Math.exp(-t / 4));
    List<TimedOhms> later =
        stream.stream()
            .map(r -> new TimedOhms(r.seconds().add(new BigDecimal("1795000000")), r.ohms()))
            .toList();
    assertEquals(judge(stream), judge(later));
  }

  @Test
  void nothingThatCanBeReadThrows() {
    long seed = 77;
    System.out.println("seed=" + seed);
    Random random = new Random(seed);
    for (int i = 0; i < Rounds.of(80); i++) {
      List<TimedOhms> stream = new ArrayList<>();
      int count = random.nextInt(25);
      int scale = random.nextInt(31);
      for (int j = 0; j < count; j++) {
        BigDecimal ohms =
            new BigDecimal(Math.exp(random.nextInt(20) * random.nextGaussian()))
                .setScale(scale, RoundingMode.UP);
        stream.add(
            new TimedOhms(
                BigDecimal.valueOf(random.nextInt(1 + random.nextInt(1000)), random.nextInt(9)),
                ohms));
      }
      Settling settling = judge(stream);
      assertTrue(settling.reason().length() > 20, settling.reason());
    }
  }

  @Test
  void aRuleThatCannotBeIsRefused() {
    BigDecimal confidence = new BigDecimal("0.95");
    assertRefused(BigDecimal.ZERO, 5, confidence);
    assertRefused(BigDecimal.ONE, 4, confidence);
    assertRefused(BigDecimal.ONE, 21, confidence);
    assertRefused(BigDecimal.ONE, 5, BigDecimal.ONE);
    assertRefused(BigDecimal.ONE, 5, new BigDecimal("0.49"));
    assertEquals(20, new SettlingRule(BigDecimal.ONE, 20, new BigDecimal("0.5")).least());
    assertThrows(
        IllegalArgumentException.class, () -> new TimedOhms(BigDecimal.ONE, BigDecimal.ZERO));
  }

  private static void assertRefused(BigDecimal tolerance, int least, BigDecimal confidence) {
    assertThrows(
        IllegalArgumentException.class, () -> new SettlingRule(tolerance, least, confidence));
  }

  private static Settling judge(List<TimedOhms> stream) {
    return SettlingRule.USUAL.judge(stream);
  }

  private static List<TimedOhms> every(
      double step, int count, int places, DoubleUnaryOperator ohms) {
    List<TimedOhms> stream = new ArrayList<>();
    for (int i = 0; i < count; i++) {
      stream.add(at(i * step, places, ohms.applyAsDouble(i * step)));
    }
    return stream;
  }

  private static List<TimedOhms> noisy(Random random, int count, double ohms, double share) {
    return every(1, count, 6, t -> ohms * (1 + share * random.nextGaussian()));
  }

  private static TimedOhms at(double seconds, int places, double ohms) {
    return new TimedOhms(
        BigDecimal.valueOf(seconds), new BigDecimal(ohms).setScale(places, RoundingMode.HALF_EVEN));
  }
}
