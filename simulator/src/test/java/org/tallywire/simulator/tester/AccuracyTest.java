package org.tallywire.simulator.tester;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.time.Duration;
import java.util.Arrays;
import java.util.List;
import java.util.Optional;
import java.util.SortedMap;
import java.util.function.LongToDoubleFunction;
import java.util.stream.IntStream;
import java.util.stream.LongStream;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.tallywire.simulator.scenario.Fault;
import org.tallywire.simulator.scenario.Faults;
import org.tallywire.simulator.scenario.Planted;
import org.tallywire.simulator.scenario.Scenario;
import org.tallywire.simulator.scenario.TesterFault;
import org.tallywire.simulator.scenario.TesterFault.Quantity;
import org.tallywire.simulator.tester.Measurement.Channel;
import org.tallywire.simulator.tester.ResistanceTest.End;

/** The errors of many test sets against their data sheet, and the faults of one. */
class AccuracyTest {

  private static final int INSTRUMENTS = 1000;
  private static final int READINGS = 400;

  /** Steady values near the full display, so that rounding does not count. */
  private static final RatioTest RATIO = new RatioTest(40, 40 / 95.0, 0, 0.9, false);

  private static final ResistanceTest LEAST_OF_RANGE =
      new ResistanceTest(0.002, 1.9, 3, 3, End.SETTLED, List.of());

  private static SortedMap<Channel, String> ratio(
      Scenario scenario, Duration moment, int number, Fault... faults) {
    return meter(scenario, moment, number, faults).shown(RATIO);
  }

  private static Meter meter(Scenario scenario, Duration moment, int number, Fault... faults) {
    List<Planted> planted =
        Arrays.stream(faults).map(f -> new Planted(f, Duration.ZERO, Optional.empty())).toList();
    return new Accuracy(scenario).at(moment, new Faults(planted), number);
  }

  private static double number(SortedMap<Channel, String> shown, Channel channel) {
    return Double.parseDouble(shown.getOrDefault(channel, "none"));
  }

  /** Returns the error of a reading, as a part of the true value. */
  private static double error(Scenario scenario, Quantity quantity, int number, Fault... faults) {
    return error(scenario, quantity, Duration.ofHours(9), number, faults);
  }

  private static double error(
      Scenario scenario, Quantity quantity, Duration moment, int number, Fault... faults) {
    Meter meter = meter(scenario, moment, number, faults);
    return switch (quantity) {
          case RATIO -> number(meter.shown(RATIO), Channel.RATIO) / 95;
          case RESISTANCE -> number(meter.shown(LEAST_OF_RANGE, 20), Channel.MILLIOHMS) / 2;
          case CURRENT -> number(meter.shown(RATIO), Channel.EXCITATION_CURRENT) / 900;
          case VOLTAGE -> number(meter.shown(RATIO), Channel.TEST_VOLTAGE) / 40;
        }
        - 1;
  }

  private static double mean(long seed, Quantity quantity) {
    Scenario scenario = Bench.scenario(seed);
    return IntStream.range(0, 60)
        .mapToDouble(i -> error(scenario, quantity, i))
        .average()
        .orElseThrow();
  }

  private static double limit(Quantity quantity) {
    return new Accuracy(Bench.scenario(1)).limit(quantity);
  }

  @Test
  void theMeanErrorsOfAThousandInstrumentsAreSpreadEvenlyWithinTheLimits() {
    // Uniform within ±a: standard deviation a/√3 (GUM 4.3.7). The ohmmeter has 0.9 a of gain and
    // 0.1 a of offset: √(0.81 + 0.01)·a/√3. With 1000 draws the deviation is known to about 2 %.
    for (Quantity quantity : Quantity.values()) {
      LongToDoubleFunction drawn = seed -> mean(seed, quantity);
      double[] errors = LongStream.rangeClosed(1, INSTRUMENTS).mapToDouble(drawn).toArray();
      double limit = limit(quantity);
      String about = quantity + " of seeds 1 to " + INSTRUMENTS;
      // The mean of 60 readings still has limit/6/√60 = 0.0215·limit of noise.
      assertTrue(Arrays.stream(errors).allMatch(e -> Math.abs(e) < 1.09 * limit), about);
      double expected = limit / Math.sqrt(3) * (quantity == Quantity.RESISTANCE ? 0.9055 : 1);
      double mean = Arrays.stream(errors).average().orElseThrow();
      assertEquals(0, mean, 4 * expected / Math.sqrt(INSTRUMENTS), about);
      double square = Arrays.stream(errors).map(e -> e * e).average().orElseThrow();
      assertEquals(expected, Math.sqrt(square), 0.08 * expected, about);
      // Each quarter of the limits holds about a quarter: 250 ± 4·√(1000·¼·¾) = 250 ± 55.
      if (quantity != Quantity.RESISTANCE) {
        for (int quarter = -2; quarter < 2; quarter++) {
          double from = quarter * limit / 2;
          long inside =
              Arrays.stream(errors).filter(e -> e >= from && e < from + limit / 2).count();
          assertEquals(250.0, (double) inside, 55.0, about + " quarter " + quarter);
        }
      }
    }
  }

  @Test
  void noiseHasTheStatedDeviationAndANoisyTesterMore() {
    // A sixth of the limit; 400 readings know a deviation to 1/√800 = 3.5 %, four times that here.
    for (Quantity quantity : Quantity.values()) {
      for (long seed = 1; seed <= 5; seed++) {
        double expected = limit(quantity) / 6;
        assertEquals(1, deviation(seed, quantity) / expected, 0.14, quantity + " seed " + seed);
        double noisy = deviation(seed, quantity, new TesterFault.Noisy(8));
        assertEquals(8, noisy / expected, 8 * 0.14, quantity + " seed " + seed);
      }
    }
  }

  private static double deviation(long seed, Quantity quantity, Fault... faults) {
    Scenario scenario = Bench.scenario(seed);
    double[] errors =
        IntStream.range(0, READINGS)
            .mapToDouble(i -> error(scenario, quantity, i, faults))
            .toArray();
    double mean = Arrays.stream(errors).average().orElseThrow();
    double squares = Arrays.stream(errors).map(e -> (e - mean) * (e - mean)).sum();
    return Math.sqrt(squares / (READINGS - 1));
  }

  @Test
  void atTheTopOfARangeNoiseAndOffsetOfTheOhmmeterAreATenth() {
    Scenario scenario = Bench.scenario(4);
    ResistanceTest top = new ResistanceTest(0.0199, 1.9, 3, 3, End.SETTLED, List.of());
    double[] errors =
        IntStream.range(0, READINGS)
            .mapToDouble(
                i ->
                    number(meter(scenario, Duration.ZERO, i).shown(top, 20), Channel.MILLIOHMS)
                        / 19.9)
            .toArray();
    double mean = Arrays.stream(errors).average().orElseThrow();
    double squares = Arrays.stream(errors).map(e -> (e - mean) * (e - mean)).sum();
    double deviation = Math.sqrt(squares / (READINGS - 1));
    assertEquals(limit(Quantity.RESISTANCE) / 6 * 2 / 19.9, deviation, 0.14 * deviation);
  }

  @Test
  void aWrongCalibrationChangesItsQuantityAndNoOther() {
    Scenario scenario = Bench.scenario(3);
    for (Quantity wrong : Quantity.values()) {
      TesterFault fault = new TesterFault.OutOfCalibration(wrong, 1.5);
      for (Quantity quantity : Quantity.values()) {
        double change = error(scenario, quantity, 7, fault) - error(scenario, quantity, 7);
        // Rounded to 0.01 of 40 V.
        assertEquals(quantity == wrong ? 0.015 : 0, change, 3e-4, wrong + " on " + quantity);
      }
    }
  }

  @Test
  void aDriftGoesOnFromItsBeginning() {
    // 2 % an hour that began after an hour: 0, 1, 4 % after 1, 1.5, 3 hours.
    Scenario scenario = Bench.scenario(3);
    Duration hour = Duration.ofHours(1);
    Faults faults =
        new Faults(
            List.of(new Planted(new TesterFault.Drift(Quantity.RATIO, 2), hour, Optional.empty())));
    double[] percent = {0, 0, 1, 4};
    double[] hours = {0.5, 1, 1.5, 3};
    double sound = number(ratio(scenario, hour, 5), Channel.RATIO);
    for (int i = 0; i < hours.length; i++) {
      Duration moment = Duration.ofSeconds(Math.round(3600 * hours[i]));
      double drifted =
          number(new Accuracy(scenario).at(moment, faults, 5).shown(RATIO), Channel.RATIO);
      assertEquals(percent[i], 100 * (drifted / sound - 1), 2e-4, hours[i] + " h");
    }
  }

  @Test
  void aColdTesterIsOffByUpToTheLimitAgainAndGetsBetter() {
    // e^(−3) = 0.0498 is left after the warm-up time; 30 readings' noise is averaged out.
    double limit = limit(Quantity.RATIO);
    double most = 0;
    for (long seed = 1; seed <= 200; seed++) {
      Scenario warming = Bench.scenario(Bench.HOLLOW_LANE, Bench.warmingUp(30), seed);
      double cold = warmUpError(warming, Duration.ZERO);
      double third = warmUpError(warming, Duration.ofMinutes(10));
      double warm = warmUpError(warming, Duration.ofMinutes(30));
      assertTrue(Math.abs(cold) < 1.02 * limit, "seed " + seed);
      assertEquals(cold * 0.36788, third, 0.02 * limit, "seed " + seed);
      assertEquals(cold * 0.04979, warm, 0.02 * limit, "seed " + seed);
      most = Math.max(most, Math.abs(cold));
    }
    assertTrue(most > 0.95 * limit, "most " + most);
  }

  /** Returns by how much a reading is off because the tester is not warm. */
  private static double warmUpError(Scenario scenario, Duration moment) {
    return error(scenario, Quantity.RATIO, moment, 1)
        - error(scenario, Quantity.RATIO, Duration.ofHours(100), 1);
  }

  @Test
  @DisplayName("L-22b: a word stands where no number can, by the ranges of the channel list")
  void wordsStandWhereNoNumberCan() {
    Meter meter = meter(Bench.scenario(1), Duration.ZERO, 1);
    SortedMap<Channel, String> dead = meter.shown(new RatioTest(40, 0.0009, 0, 0, false));
    assertEquals("over-range", dead.get(Channel.RATIO));
    assertEquals("invalid", dead.get(Channel.PHASE_DISPLACEMENT));
    assertEquals("0.000", dead.get(Channel.EXCITATION_CURRENT));
    SortedMap<Channel, String> steep = meter.shown(new RatioTest(40, 40 / 15_100.0, 0, 0, false));
    assertEquals("over-range", steep.get(Channel.RATIO));
    SortedMap<Channel, String> flat = meter.shown(new RatioTest(40, 55, 0, 0, false));
    assertEquals("under-range", flat.get(Channel.RATIO));
    Meter wrong =
        meter(
            Bench.scenario(1),
            Duration.ZERO,
            1,
            new TesterFault.OutOfCalibration(Quantity.CURRENT, 40));
    SortedMap<Channel, String> much = wrong.shown(new RatioTest(40, 2, 0, 0.9, false));
    assertEquals("over-range", much.get(Channel.EXCITATION_CURRENT), "1260 of 1000 mA");
    SortedMap<Channel, String> cold =
        meter.shown(new ResistanceTest(1, 1, 2, 0, End.SETTLED, List.of()), -21);
    assertEquals("under-range", cold.get(Channel.TEMPERATURE));
    SortedMap<Channel, String> limited = meter.shown(new RatioTest(20, 2, 0, 1, true));
    assertEquals("over-range", limited.get(Channel.EXCITATION_CURRENT));
    ResistanceTest open =
        new ResistanceTest(Double.POSITIVE_INFINITY, 0, 2, 0, End.OPEN, List.of());
    assertEquals("open", meter.shown(open, 20).get(Channel.OHMS));
    assertEquals("0.0000", meter.shown(open, 20).get(Channel.TEST_CURRENT));
    ResistanceTest high = new ResistanceTest(2100, 0.01, 2, 0, End.SETTLED, List.of());
    assertEquals("over-range", meter.shown(high, 20).get(Channel.OHMS));
    ResistanceTest low = new ResistanceTest(9e-5, 10, 2, 0, End.SETTLED, List.of());
    assertEquals("under-range", meter.shown(low, 20).get(Channel.MILLIOHMS));
  }

  @Test
  void theAngleHasAnOffsetOfItsOwnAndNoise() {
    // Offset even within ±0.003°, noise 0.002°; 400 readings know its deviation to 3.5 %.
    double most = 0;
    for (long seed = 1; seed <= 50; seed++) {
      Scenario scenario = Bench.scenario(seed);
      double[] degrees =
          IntStream.range(0, READINGS)
              .mapToDouble(
                  i -> number(ratio(scenario, Duration.ZERO, i), Channel.PHASE_DISPLACEMENT))
              .toArray();
      double mean = Arrays.stream(degrees).average().orElseThrow();
      double squares = Arrays.stream(degrees).map(d -> (d - mean) * (d - mean)).sum();
      assertEquals(0.002, Math.sqrt(squares / (READINGS - 1)), 0.0004, "seed " + seed);
      assertTrue(Math.abs(mean) < 0.003 + 4 * 0.002 / 20, "seed " + seed + ": " + mean);
      most = Math.max(most, Math.abs(mean));
    }
    assertTrue(most > 0.0025, "most " + most);
  }

  @Test
  void theThermometerIsOffByUpToThreeTenths() {
    // DOE 10 CFR 431 appendix A allows 1 K.
    double[] celsius =
        LongStream.rangeClosed(1, 100)
            .mapToObj(seed -> meter(Bench.scenario(seed), Duration.ZERO, 1))
            .mapToDouble(meter -> number(meter.shown(LEAST_OF_RANGE, 20), Channel.TEMPERATURE))
            .sorted()
            .toArray();
    assertEquals(19.7, celsius[0], 0.06);
    assertEquals(20.3, celsius[99], 0.06);
  }

  @Test
  void anglesStayWithinHalfATurn() {
    for (double degrees : new double[] {-180, -179.9995, 0, 179.9999, 180}) {
      for (int number = 0; number < 50; number++) {
        Meter meter = meter(Bench.scenario(9), Duration.ZERO, number);
        RatioTest test = new RatioTest(40, 1, degrees, 0, false);
        double shown = number(meter.shown(test), Channel.PHASE_DISPLACEMENT);
        assertTrue(Math.abs(shown) <= 180, "shown " + shown);
        double off = shown - degrees;
        assertEquals(0, off - 360 * Math.rint(off / 360), 0.015);
      }
    }
  }
}
