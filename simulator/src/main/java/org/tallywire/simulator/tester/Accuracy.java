package org.tallywire.simulator.tester;

import java.time.Duration;
import java.util.EnumMap;
import java.util.List;
import java.util.Map;
import java.util.Random;
import org.tallywire.simulator.scenario.Faults;
import org.tallywire.simulator.scenario.Planted;
import org.tallywire.simulator.scenario.Scenario;
import org.tallywire.simulator.scenario.TesterFault;
import org.tallywire.simulator.scenario.TesterFault.Quantity;
import org.tallywire.simulator.scenario.TesterPlan;

/**
 * How wrong one particular test set is. Its seed places its gains anywhere within the limits of
 * error of its data sheet, with even probability; noise, a sixth of the limit (one standard
 * deviation), comes on top from reading to reading. The ohmmeter's limit is a part of the reading
 * and, as a tenth of it, of a tenth of the range (a zero offset, as thermal voltages make it);
 * noise is relative to a tenth of the range too. Figures without a source are practice.
 *
 * <p>Before it is warm each gain is off by up to the limit again; that part falls exponentially
 * with a third of the warm-up time, so that a twentieth of it is left when that time is over.
 */
final class Accuracy {

  /** Noise as a part of the limit of error: the limit is six standard deviations. */
  static final double NOISE_SHARE = 1.0 / 6;

  /** Part of the ohmmeter's limit that is its offset, the rest is its gain. */
  static final double OFFSET_SHARE = 0.1;

  /** Part of a range at which its offset and noise are stated: the least reading of that range. */
  static final double OF_RANGE = 0.1;

  static final double DEGREES_OFFSET = 0.003;
  static final double DEGREES_NOISE = 0.002;

  /** DOE 10 CFR 431 appendix A allows 1 K. */
  static final double KELVIN_OFFSET = 0.3;

  private static final double WARM_UP_TIME_CONSTANTS = 3;
  private static final double SECONDS_A_MINUTE = 60;
  private static final double SECONDS_AN_HOUR = 3600;

  private final Scenario scenario;
  private final Map<Quantity, Double> gains = new EnumMap<>(Quantity.class);
  private final Map<Quantity, Double> whenCold = new EnumMap<>(Quantity.class);
  private final Map<Quantity, Double> deviations = new EnumMap<>(Quantity.class);
  private final Meter.Offsets offsets;

  /** Draws the errors of the test set of that scenario. */
  Accuracy(Scenario scenario) {
    this.scenario = scenario;
    Random random = scenario.random("instrument");
    gains.put(Quantity.RATIO, Scenario.spread(random, limit(Quantity.RATIO)));
    gains.put(
        Quantity.RESISTANCE,
        Scenario.spread(random, (1 - OFFSET_SHARE) * limit(Quantity.RESISTANCE)));
    gains.put(Quantity.CURRENT, Scenario.spread(random, limit(Quantity.CURRENT)));
    double kelvin = Scenario.spread(random, KELVIN_OFFSET);
    gains.put(Quantity.VOLTAGE, Scenario.spread(random, limit(Quantity.VOLTAGE)));
    double degrees = Scenario.spread(random, DEGREES_OFFSET);
    double ofRange = Scenario.spread(random, OFFSET_SHARE * limit(Quantity.RESISTANCE) * OF_RANGE);
    offsets = new Meter.Offsets(ofRange, degrees, kelvin);
    for (Quantity quantity : Quantity.values()) {
      whenCold.put(quantity, Scenario.spread(random, limit(quantity)));
      deviations.put(quantity, NOISE_SHARE * limit(quantity));
    }
  }

  /** Returns the limit of error of the data sheet as a part of the reading. */
  double limit(Quantity quantity) {
    TesterPlan plan = scenario.tester();
    return switch (quantity) {
          case RATIO -> plan.ratioPercent();
          case RESISTANCE -> plan.resistancePercent();
          case CURRENT, VOLTAGE -> plan.otherPercent();
        }
        / 100;
  }

  /**
   * Returns the test set as it is at a moment of bench time.
   *
   * @param number of the measurement, which has a noise of its own
   */
  Meter at(Duration moment, Faults faults, int number) {
    Map<Quantity, Double> now = new EnumMap<>(Quantity.class);
    for (Quantity quantity : Quantity.values()) {
      double cold = whenCold.getOrDefault(quantity, 0.0) * coldness(moment);
      now.put(quantity, 1 + gains.getOrDefault(quantity, 0.0) + cold);
    }
    for (Planted planted : faults.planted(TesterFault.class, moment)) {
      if (planted.fault() instanceof TesterFault.OutOfCalibration wrong) {
        now.merge(wrong.quantity(), 1 + wrong.percent() / 100, (a, b) -> a * b);
      } else if (planted.fault() instanceof TesterFault.Drift drift) {
        double hours = seconds(moment.minus(planted.from())) / SECONDS_AN_HOUR;
        now.merge(drift.quantity(), 1 + drift.percentPerHour() / 100 * hours, (a, b) -> a * b);
      }
    }
    Random random = scenario.random("noise " + number);
    double times = noiseTimes(faults.at(TesterFault.Noisy.class, moment));
    return new Meter(
        now, deviations, offsets, deviation -> times * deviation * random.nextGaussian());
  }

  private static double noiseTimes(List<TesterFault.Noisy> faults) {
    return faults.stream().mapToDouble(TesterFault.Noisy::times).reduce(1, (a, b) -> a * b);
  }

  /** Returns 1 when just switched on, 0 when it is warm. */
  private double coldness(Duration moment) {
    double warmUpSeconds = scenario.tester().warmUpMinutes() * SECONDS_A_MINUTE;
    return warmUpSeconds > 0
        ? StrictMath.exp(-WARM_UP_TIME_CONSTANTS * seconds(moment) / warmUpSeconds)
        : 0;
  }

  private static double seconds(Duration duration) {
    return duration.toNanos() / 1e9;
  }
}
