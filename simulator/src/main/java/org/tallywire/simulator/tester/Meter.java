package org.tallywire.simulator.tester;

import java.util.EnumMap;
import java.util.Map;
import java.util.SortedMap;
import java.util.TreeMap;
import org.tallywire.simulator.scenario.TesterFault.Quantity;
import org.tallywire.simulator.tester.Measurement.Channel;

/**
 * The measuring part of one particular test set for the length of one measurement: it turns what is
 * there into what the display shows, in digits or as a word of L-22a where no number can stand.
 */
final class Meter {

  static final String OVER_RANGE = "over-range";
  static final String UNDER_RANGE = "under-range";
  static final String OPEN = "open";
  static final String INVALID = "invalid";

  /** Less LV voltage than this cannot be told from pick-up (practice). */
  static final double LEAST_LV_VOLTS = 1e-3;

  private static final int RATIO_DIGITS = 6;
  private static final int MILLIAMPERE_DECIMALS = 3;
  private static final int DEGREE_DECIMALS = 3;
  private static final int VOLT_DECIMALS = 2;
  private static final int CELSIUS_DECIMALS = 1;

  /** The ammeter's smaller range of test current, and decimals in it and above. */
  private static final double SMALL_AMPS = 2;

  private static final int SMALL_AMPERE_DECIMALS = 4;
  private static final int AMPERE_DECIMALS = 3;

  private final Map<Quantity, Double> gains;
  private final Map<Quantity, Double> deviations;
  private final Offsets offsets;
  private final Noise noise;

  /**
   * What is added to a true value.
   *
   * @param ofRange to a resistance, as a part of the range
   * @param degrees to a phase displacement
   * @param kelvin to a temperature
   */
  record Offsets(double ofRange, double degrees, double kelvin) {}

  /** Noise of that standard deviation; each call draws anew. */
  interface Noise {
    double next(double deviation);
  }

  /**
   * A test set with its errors.
   *
   * @param gains by which true values are multiplied
   * @param deviations of the noise, as a part of the reading; of a resistance, of {@link
   *     Accuracy#OF_RANGE} of the range
   */
  Meter(
      Map<Quantity, Double> gains, Map<Quantity, Double> deviations, Offsets offsets, Noise noise) {
    this.gains = new EnumMap<>(gains);
    this.deviations = new EnumMap<>(deviations);
    this.offsets = offsets;
    this.noise = noise;
  }

  /** Returns what it shows of a ratio test. */
  SortedMap<Channel, String> shown(RatioTest test) {
    double ratio = test.ratio() * factor(Quantity.RATIO);
    double milliamperes = 1e3 * test.excitationAmps() * factor(Quantity.CURRENT);
    double degrees = test.degrees() + offsets.degrees() + noise.next(Accuracy.DEGREES_NOISE);
    double volts = test.hvVolts() * factor(Quantity.VOLTAGE);
    boolean measurable =
        test.lvVolts() >= LEAST_LV_VOLTS && ratio <= Double.parseDouble(Channel.RATIO.max());
    SortedMap<Channel, String> shown = new TreeMap<>();
    shown.put(Channel.RATIO, measurable ? ratio(ratio) : OVER_RANGE);
    shown.put(
        Channel.EXCITATION_CURRENT,
        test.limited()
            ? OVER_RANGE
            : within(Channel.EXCITATION_CURRENT, milliamperes, MILLIAMPERE_DECIMALS));
    shown.put(
        Channel.PHASE_DISPLACEMENT,
        measurable ? Digits.fixed(wrapped(degrees), DEGREE_DECIMALS) : INVALID);
    shown.put(Channel.TEST_VOLTAGE, within(Channel.TEST_VOLTAGE, volts, VOLT_DECIMALS));
    return shown;
  }

  /** Returns the digits, or the word where the channel does not reach. */
  private static String within(Channel channel, double value, int decimals) {
    String digits = Digits.fixed(value, decimals);
    double shown = Double.parseDouble(digits);
    if (shown > Double.parseDouble(channel.max())) {
      return OVER_RANGE;
    }
    return shown < Double.parseDouble(channel.min()) ? UNDER_RANGE : digits;
  }

  private static String ratio(double ratio) {
    return ratio < Double.parseDouble(Channel.RATIO.min())
        ? UNDER_RANGE
        : Digits.significant(ratio, RATIO_DIGITS);
  }

  /** Returns the same angle between −180 and 180. */
  private static double wrapped(double degrees) {
    return degrees - 360 * Math.rint(degrees / 360);
  }

  /** Returns what it shows of a resistance test, and the temperature beside the unit. */
  SortedMap<Channel, String> shown(ResistanceTest test, double celsius) {
    double deviation = deviations.getOrDefault(Quantity.RESISTANCE, 0.0);
    double ofRange = offsets.ofRange() + Accuracy.OF_RANGE * noise.next(deviation);
    double amps = test.testAmps() * factor(Quantity.CURRENT);
    SortedMap<Channel, String> shown = new TreeMap<>();
    if (test.end() == ResistanceTest.End.OPEN) {
      shown.put(ResistanceRange.greatest().channel(), OPEN);
    } else {
      double ohms = test.ohms() * gains.getOrDefault(Quantity.RESISTANCE, 1.0);
      ResistanceRange range = ResistanceRange.of(ohms);
      shown.put(range.channel(), resistance(range, ohms + ofRange * range.fullOhms()));
    }
    int decimals = amps <= SMALL_AMPS ? SMALL_AMPERE_DECIMALS : AMPERE_DECIMALS;
    shown.put(Channel.TEST_CURRENT, within(Channel.TEST_CURRENT, amps, decimals));
    shown.put(
        Channel.TEMPERATURE,
        within(Channel.TEMPERATURE, celsius + offsets.kelvin(), CELSIUS_DECIMALS));
    return shown;
  }

  private static String resistance(ResistanceRange range, double ohms) {
    if (ohms > ResistanceRange.greatest().fullOhms()) {
      return OVER_RANGE;
    }
    return ohms < ResistanceRange.LEAST_OHMS ? UNDER_RANGE : range.digits(ohms);
  }

  /** Returns what a true value is multiplied by, this time. */
  private double factor(Quantity quantity) {
    double deviation = deviations.getOrDefault(quantity, 0.0);
    return gains.getOrDefault(quantity, 1.0) * (1 + noise.next(deviation));
  }
}
