package org.tallywire.simulator.tester;

import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.OptionalInt;
import java.util.Random;
import org.tallywire.simulator.scenario.Scenario;
import org.tallywire.simulator.tester.Measurement.Channel;
import org.tallywire.simulator.unit.Transformer;

/**
 * One run of the test set over the unit: the ratio of all three phases on each tap, then the
 * resistance of the HV lines on the principal tap, then of the LV phases. Ratio and excitation
 * current come first because direct current leaves the core magnetised (FIST 3-30, 9.3.3).
 */
public final class TestRun {

  private static final String PHASE_LETTERS = "ABC";
  private static final double SOURCE_VOLTS = 40;
  private static final double SOURCE_SPREAD = 0.2;
  private static final double COOLEST_CELSIUS = 15;
  private static final double WARMEST_CELSIUS = 30;
  private static final double DRIFT_KELVIN_PER_HOUR = 1;

  private final Transformer unit;
  private final MeasuringErrors errors;
  private final double sourceVolts;
  private final double startCelsius;
  private final double driftKelvinPerSecond;
  private final List<Measurement> measurements = new ArrayList<>();
  private double elapsedSeconds;

  private TestRun(Scenario scenario) {
    this.unit = new Transformer(scenario);
    this.errors = new MeasuringErrors(scenario);
    Random random = scenario.random("surroundings");
    this.startCelsius = COOLEST_CELSIUS + (WARMEST_CELSIUS - COOLEST_CELSIUS) * random.nextDouble();
    this.driftKelvinPerSecond = Scenario.spread(random, DRIFT_KELVIN_PER_HOUR) / 3600;
    this.sourceVolts = SOURCE_VOLTS + Scenario.spread(random, SOURCE_SPREAD);
  }

  /** Returns everything the test set measures in that scenario, in order. */
  public static List<Measurement> of(Scenario scenario) {
    TestRun run = new TestRun(scenario);
    for (int tap = 1; tap <= Transformer.TAPS; tap++) {
      for (int phase = 0; phase < Transformer.PHASES; phase++) {
        run.add(run.ratio(tap, phase));
      }
    }
    for (int phase = 0; phase < Transformer.PHASES; phase++) {
      run.add(run.hvResistance(phase));
    }
    for (int phase = 0; phase < Transformer.PHASES; phase++) {
      run.add(run.lvResistance(phase));
    }
    return List.copyOf(run.measurements);
  }

  private void add(Measurement measurement) {
    measurements.add(measurement);
    elapsedSeconds += measurement.seconds();
  }

  private double celsius() {
    return startCelsius + driftKelvinPerSecond * elapsedSeconds;
  }

  private Measurement ratio(int tap, int phase) {
    RatioTest truth = RatioTest.of(unit, tap, phase, sourceVolts, celsius());
    return Measurement.ratio(
        letter(phase),
        tap,
        Map.of(
            Channel.RATIO, errors.ratio(truth.ratio()),
            Channel.EXCITATION_CURRENT, errors.other(truth.excitationAmps() * 1e3, 3),
            Channel.PHASE_DISPLACEMENT, errors.degrees(truth.displacementDegrees()),
            Channel.TEST_VOLTAGE, errors.other(truth.volts(), 2)));
  }

  private Measurement hvResistance(int phase) {
    ResistanceTest truth = ResistanceTest.hv(unit, phase, celsius());
    return Measurement.resistance(
        "HV",
        letter(phase),
        OptionalInt.of(Transformer.PRINCIPAL_TAP),
        Map.of(
            Channel.OHMS, errors.resistance(truth.ohms()),
            Channel.TEST_CURRENT, errors.other(truth.testAmps(), 4),
            Channel.TEMPERATURE, errors.celsius(celsius())));
  }

  private Measurement lvResistance(int phase) {
    ResistanceTest truth = ResistanceTest.lv(unit, phase, celsius());
    return Measurement.resistance(
        "LV",
        letter(phase),
        OptionalInt.empty(),
        Map.of(
            Channel.MILLIOHMS, errors.resistance(truth.ohms() * 1e3),
            Channel.TEST_CURRENT, errors.other(truth.testAmps(), 3),
            Channel.TEMPERATURE, errors.celsius(celsius())));
  }

  public static String letter(int phase) {
    return PHASE_LETTERS.substring(phase, phase + 1);
  }
}
