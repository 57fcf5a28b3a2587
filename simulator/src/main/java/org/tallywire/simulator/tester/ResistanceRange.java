package org.tallywire.simulator.tester;

import java.util.Locale;
import org.tallywire.simulator.tester.Measurement.Channel;

/**
 * The ranges of the ohmmeter, a decade each, of 200 000 steps: five significant digits at least
 * from a tenth of a range up. The smallest range that holds the value is used, so that a value
 * always has the same channel and the same digits; ranges up to 2 Ω are shown in milliohms.
 */
enum ResistanceRange {
  MILLIOHMS_20(Channel.MILLIOHMS, 0.02, 4),
  MILLIOHMS_200(Channel.MILLIOHMS, 0.2, 3),
  MILLIOHMS_2000(Channel.MILLIOHMS, 2, 2),
  OHMS_20(Channel.OHMS, 20, 4),
  OHMS_200(Channel.OHMS, 200, 3),
  OHMS_2000(Channel.OHMS, 2000, 2);

  /** What the lowest range resolves to a thousandth; less is not shown. */
  static final double LEAST_OHMS = 1e-4;

  private final Channel channel;
  private final double fullOhms;
  private final int decimals;

  ResistanceRange(Channel channel, double fullOhms, int decimals) {
    this.channel = channel;
    this.fullOhms = fullOhms;
    this.decimals = decimals;
  }

  /** Returns the smallest range that holds that resistance, else the greatest there is. */
  static ResistanceRange of(double ohms) {
    for (ResistanceRange range : values()) {
      if (ohms <= range.fullOhms) {
        return range;
      }
    }
    return greatest();
  }

  /** Returns the range in which an open circuit is found. */
  static ResistanceRange greatest() {
    return OHMS_2000;
  }

  Channel channel() {
    return channel;
  }

  double fullOhms() {
    return fullOhms;
  }

  /** Returns the digits for a resistance in ohms. */
  String digits(double ohms) {
    return Digits.fixed(channel == Channel.OHMS ? ohms : ohms * 1e3, decimals);
  }

  /** Returns the range's name on the dial. */
  @Override
  public String toString() {
    return name().toLowerCase(Locale.ROOT).replace('_', ' ');
  }
}
