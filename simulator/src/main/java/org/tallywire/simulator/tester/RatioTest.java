package org.tallywire.simulator.tester;

import java.util.Optional;
import org.apache.commons.math3.complex.Complex;
import org.tallywire.simulator.physics.Network;
import org.tallywire.simulator.physics.Network.Alternating;
import org.tallywire.simulator.unit.Hookup;

/**
 * The turns-ratio test of one phase on one tap: a small alternating voltage on the HV side, LV
 * open, as an instrument without errors would see it.
 *
 * <p>The source holds the test voltage within 1 % up to some 200 mA (2 Ω inside) and is limited to
 * 1 A: beyond that it lowers its voltage. Its voltmeters load what they measure with 1 MΩ; the
 * current that the HV voltmeter takes is not counted as excitation. Figures are practice.
 *
 * @param hvVolts across the HV pair
 * @param lvVolts across the LV pair
 * @param degrees by which the LV voltage leads the HV voltage, −180 to 180
 * @param excitationAmps from the source
 * @param limited whether the source was at its limit
 */
record RatioTest(
    double hvVolts, double lvVolts, double degrees, double excitationAmps, boolean limited) {

  /** Time that a tester takes for one reading (practice). */
  static final double SECONDS = 0.7;

  static final double LIMIT_AMPS = 1;
  private static final double SOURCE_OHMS = 2;
  private static final double VOLTMETER_OHMS = 1e6;

  /** So near its limit the source is to be found, and after so many tries at the latest. */
  private static final double LIMIT_SHARE = 1e-4;

  private static final int LIMIT_TRIES = 30;
  private static final String HOT = "source +";
  private static final String COLD = "source -";

  /**
   * Tests a unit.
   *
   * @param network between the terminals of the unit; the test set is added to it
   */
  static RatioTest of(Network network, Hookup hookup, Leads leads, double volts, double hertz) {
    String hvTo = leads.at(hookup.to().get(0));
    leads.join(network, HOT, hookup.from());
    hookup.to().forEach(terminal -> leads.join(network, COLD, terminal));
    String hvFrom = leads.at(hookup.from());
    String lvFrom = leads.at(hookup.measuredFrom());
    String lvTo = leads.at(hookup.measuredTo());
    network.resistor(hvFrom, hvTo, VOLTMETER_OHMS);
    network.resistor(lvFrom, lvTo, VOLTMETER_OHMS);

    double set = volts;
    Alternating found = network.alternating(HOT, COLD, set, SOURCE_OHMS, hertz);
    boolean limited = found.amps().abs() > LIMIT_AMPS;
    for (int tries = 0; limited && tries < LIMIT_TRIES; tries++) {
      double excess = found.amps().abs() / LIMIT_AMPS;
      if (Math.abs(excess - 1) < LIMIT_SHARE) {
        break;
      }
      set /= excess;
      found = network.alternating(HOT, COLD, set, SOURCE_OHMS, hertz);
    }
    Complex hv = volts(found.volts(hvFrom, hvTo));
    Complex lv = volts(found.volts(lvFrom, lvTo));
    double degrees = hv.abs() > 0 ? Math.toDegrees(lv.divide(hv).getArgument()) : 0;
    double excitation = found.amps().subtract(hv.divide(VOLTMETER_OHMS)).abs();
    return new RatioTest(hv.abs(), lv.abs(), degrees, excitation, limited);
  }

  /** A voltmeter between parts without a path shows nothing. */
  private static Complex volts(Optional<Complex> between) {
    return between.orElse(Complex.ZERO);
  }

  /** Returns the ratio of the voltages, HV to LV; infinite without LV voltage. */
  double ratio() {
    return hvVolts / lvVolts;
  }
}
