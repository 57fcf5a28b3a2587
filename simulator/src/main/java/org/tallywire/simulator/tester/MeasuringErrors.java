package org.tallywire.simulator.tester;

import java.math.BigDecimal;
import java.math.RoundingMode;
import java.util.Random;
import org.tallywire.simulator.scenario.Scenario;

/**
 * The imperfection of the test set: a gain error and an offset that stay, noise that does not, and
 * a display with so many digits. Limits are those of an invented instrument.
 */
public final class MeasuringErrors {

  private static final double RATIO_GAIN = 0.0003;
  private static final double RATIO_NOISE = 0.00005;
  private static final double RESISTANCE_GAIN = 0.001;
  private static final double RESISTANCE_NOISE = 0.0002;
  private static final double OTHER_GAIN = 0.002;
  private static final double OTHER_NOISE = 0.0003;
  private static final double ANGLE_NOISE_DEGREES = 0.002;
  private static final double TEMPERATURE_OFFSET_KELVIN = 0.3;

  private final Random noise;
  private final double ratioGain;
  private final double resistanceGain;
  private final double otherGain;
  private final double temperatureOffset;

  public MeasuringErrors(Scenario scenario) {
    Random random = scenario.random("instrument");
    this.ratioGain = 1 + Scenario.spread(random, RATIO_GAIN);
    this.resistanceGain = 1 + Scenario.spread(random, RESISTANCE_GAIN);
    this.otherGain = 1 + Scenario.spread(random, OTHER_GAIN);
    this.temperatureOffset = Scenario.spread(random, TEMPERATURE_OFFSET_KELVIN);
    this.noise = scenario.random("noise");
  }

  public String ratio(double truth) {
    return significant(truth * ratioGain * noisy(RATIO_NOISE), 6);
  }

  /** Shows ohms or milliohms, whichever it is given. */
  public String resistance(double truth) {
    return significant(truth * resistanceGain * noisy(RESISTANCE_NOISE), 5);
  }

  /** Shows a current or voltage with a fixed number of decimals. */
  public String other(double truth, int decimals) {
    return rounded(truth * otherGain * noisy(OTHER_NOISE), decimals);
  }

  public String degrees(double truth) {
    return rounded(truth + ANGLE_NOISE_DEGREES * noise.nextGaussian(), 3);
  }

  public String celsius(double truth) {
    return rounded(truth + temperatureOffset, 1);
  }

  /** Writes a positive number with that many significant digits, trailing zeros kept. */
  public static String significant(double value, int digits) {
    return rounded(value, digits - 1 - (int) Math.floor(Math.log10(value)));
  }

  private static String rounded(double value, int decimals) {
    return BigDecimal.valueOf(value).setScale(decimals, RoundingMode.HALF_EVEN).toPlainString();
  }

  private double noisy(double deviation) {
    return 1 + deviation * noise.nextGaussian();
  }
}
