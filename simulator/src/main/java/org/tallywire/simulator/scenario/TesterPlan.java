package org.tallywire.simulator.scenario;

import java.util.Locale;

/**
 * The test set on the bench, as its data sheet would state it.
 *
 * @param language that it speaks
 * @param ratioPercent limit of error of the ratio
 * @param resistancePercent limit of error of the resistance
 * @param otherPercent limit of error of currents and voltages
 * @param testVolts of the ratio test
 * @param hvAmps of the resistance test of the HV winding
 * @param lvAmps of the resistance test of the LV winding
 * @param complianceVolts the most that the source of direct current gives
 * @param leadOhms of each lead
 * @param warmUpMinutes after which it is as accurate as stated; 0 for at once
 * @param rounds how many times it measures everything, one after the other; at least 1
 */
public record TesterPlan(
    Language language,
    double ratioPercent,
    double resistancePercent,
    double otherPercent,
    double testVolts,
    double hvAmps,
    double lvAmps,
    double complianceVolts,
    double leadOhms,
    double warmUpMinutes,
    int rounds) {

  public TesterPlan {
    Require.notNegative(ratioPercent, resistancePercent, otherPercent, leadOhms, warmUpMinutes);
    Require.positive(testVolts, hvAmps, lvAmps, complianceVolts, rounds);
  }

  /** What it speaks. */
  public enum Language {
    LINE,
    SCPI,
    TALK_ONLY,
    /** An electricity meter by IEC 62056-21, mode C. */
    METER62056,
    /** The same in mode A. */
    METER62056_A;

    /** Returns it as a command line has it, for example {@code talk-only}. */
    @Override
    public String toString() {
      return name().toLowerCase(Locale.ROOT).replace('_', '-');
    }
  }

  /** Returns the same test set with another language. */
  public TesterPlan speaking(Language other) {
    return new TesterPlan(
        other,
        ratioPercent,
        resistancePercent,
        otherPercent,
        testVolts,
        hvAmps,
        lvAmps,
        complianceVolts,
        leadOhms,
        warmUpMinutes,
        rounds);
  }
}
