package org.tallywire.simulator.tester;

import java.time.Duration;
import java.util.ArrayList;
import java.util.HashSet;
import java.util.List;
import java.util.OptionalInt;
import java.util.Random;
import java.util.Set;
import java.util.SortedMap;
import java.util.TreeMap;
import org.tallywire.simulator.physics.Network;
import org.tallywire.simulator.scenario.Fault;
import org.tallywire.simulator.scenario.Faults;
import org.tallywire.simulator.scenario.LeadFault;
import org.tallywire.simulator.scenario.Planted;
import org.tallywire.simulator.scenario.Plate;
import org.tallywire.simulator.scenario.Scenario;
import org.tallywire.simulator.scenario.TesterFault;
import org.tallywire.simulator.scenario.TesterPlan;
import org.tallywire.simulator.scenario.UnitFault;
import org.tallywire.simulator.scenario.Winding;
import org.tallywire.simulator.tester.Measurement.Channel;
import org.tallywire.simulator.tester.Measurement.Status;
import org.tallywire.simulator.unit.Hookup;
import org.tallywire.simulator.unit.Unit;

/**
 * One run of the test set over the unit: the ratio of all phases on each tap, then the resistance
 * of the HV winding on the principal tap, then of the LV winding. Ratio and excitation current come
 * first because direct current leaves the core magnetised (FIST 3-30, 9.3.3); where the test set
 * measures in rounds, it is so from the second one on. Used by one thread.
 */
public final class TestRun {

  private static final double COOLEST_CELSIUS = 15;
  private static final double WARMEST_CELSIUS = 30;
  private static final double DRIFT_KELVIN_PER_HOUR = 1;

  /** By which part the voltage of the ratio test may be off what is set (practice). */
  private static final double SOURCE_SHARE = 0.005;

  /** The kinds of faults that act on a measurement, if they are there as it begins. */
  private static final List<Class<? extends Fault>> MEASURED_KINDS =
      List.of(UnitFault.class, LeadFault.class, TesterFault.class);

  private final Scenario scenario;
  private final Faults faults;
  private final Unit unit;
  private final Accuracy accuracy;
  private final double startCelsius;
  private final double driftKelvinPerSecond;
  private final double ratioVolts;
  private final List<Step> steps = new ArrayList<>();
  private final Set<Planted> measured = new HashSet<>();
  private SortedMap<Channel, String> shown = new TreeMap<>();
  private int done;
  private Duration elapsed = Duration.ZERO;
  private Duration leadsFree = Duration.ZERO;

  /** What is measured next. */
  private sealed interface Step {
    record Ratio(int tap, Hookup hookup) implements Step {}

    record Resistance(Winding winding, Hookup.Pair pair) implements Step {}
  }

  /** The surroundings of one measurement. */
  private record Moment(Network network, Leads leads, Meter meter, double celsius) {}

  /** A run that has not begun; {@code faults} may change while it goes on. */
  public TestRun(Scenario scenario, Faults faults) {
    this.scenario = scenario;
    this.faults = faults;
    this.unit = new Unit(scenario);
    this.accuracy = new Accuracy(scenario);
    Random random = scenario.random("surroundings");
    double drawn = COOLEST_CELSIUS + (WARMEST_CELSIUS - COOLEST_CELSIUS) * random.nextDouble();
    this.startCelsius = scenario.celsius().orElse(drawn);
    this.driftKelvinPerSecond = Scenario.spread(random, DRIFT_KELVIN_PER_HOUR) / 3600;
    this.ratioVolts = scenario.tester().testVolts() * (1 + Scenario.spread(random, SOURCE_SHARE));
    plan();
  }

  private void plan() {
    Plate plate = scenario.plate();
    for (int tap = 1; tap <= plate.taps().positions(); tap++) {
      for (Hookup hookup : Hookup.ratio(plate.group())) {
        steps.add(new Step.Ratio(tap, hookup));
      }
    }
    for (Winding winding : Winding.values()) {
      for (Hookup.Pair pair : Hookup.resistance(plate.group(), winding)) {
        steps.add(new Step.Resistance(winding, pair));
      }
    }
  }

  /** Returns whether everything is measured. */
  public boolean over() {
    return done == steps.size() * scenario.tester().rounds();
  }

  /** Returns the bench time until which it has measured. */
  public Duration elapsed() {
    return elapsed;
  }

  /**
   * Returns the faults of unit, leads and tester that are planted and were there at no beginning of
   * a measurement up to now, so that no reading can show them.
   */
  public List<Planted> neverMeasured() {
    return faults.all().stream()
        .filter(
            planted -> MEASURED_KINDS.stream().anyMatch(kind -> kind.isInstance(planted.fault())))
        .filter(planted -> !measured.contains(planted))
        .toList();
  }

  /**
   * Measures the next thing, with the faults that are there as it begins; bench time goes on. What
   * is then left of a direct current is discharged before the measurement that follows begins.
   */
  public Measurement next() {
    if (over()) {
      throw new IllegalStateException("nothing is left to measure");
    }
    Duration begins = leadsFree;
    MEASURED_KINDS.forEach(kind -> measured.addAll(faults.planted(kind, begins)));
    Step step = steps.get(done++ % steps.size());
    boolean frozen = !faults.at(TesterFault.FrozenDisplay.class, begins).isEmpty();
    Measurement reading =
        step instanceof Step.Ratio ratio
            ? ratio(ratio, begins)
            : resistance((Step.Resistance) step, begins);
    if (!frozen || shown.isEmpty()) {
      shown = reading.values();
    }
    return reading.showing(shown);
  }

  private Moment moment(int tap, Duration begins) {
    double celsius = startCelsius + driftKelvinPerSecond * begins.toNanos() / 1e9;
    return new Moment(
        unit.network(
            tap, celsius, faults.at(UnitFault.class, begins), scenario.random("contact " + done)),
        new Leads(scenario.tester().leadOhms(), faults.at(LeadFault.class, begins)),
        accuracy.at(begins, faults, done),
        celsius);
  }

  private Measurement ratio(Step.Ratio step, Duration begins) {
    Moment moment = moment(step.tap(), begins);
    double hertz = scenario.plate().hertz();
    RatioTest test =
        RatioTest.of(moment.network(), step.hookup(), moment.leads(), ratioVolts, hertz);
    Measurement measured =
        Measurement.ratio(step.hookup().phase().name(), step.tap(), moment.meter().shown(test));
    elapsed = after(begins, measured.seconds());
    leadsFree = elapsed;
    return measured;
  }

  private Measurement resistance(Step.Resistance step, Duration begins) {
    TesterPlan plan = scenario.tester();
    Moment moment = moment(scenario.plate().taps().principal(), begins);
    double amps = step.winding() == Winding.HV ? plan.hvAmps() : plan.lvAmps();
    ResistanceTest test =
        ResistanceTest.of(
            moment.network(),
            step.pair(),
            moment.leads(),
            new ResistanceTest.Source(
                amps, plan.complianceVolts(), ResistanceTest.LONGEST_SECONDS));
    elapsed = after(begins, test.seconds());
    // The tester looks every tenth of a second whether the current is gone.
    leadsFree = after(elapsed, Math.ceil(test.dischargeSeconds() * 10) / 10);
    return new Measurement(
        "winding-resistance",
        step.winding().name(),
        step.pair().phase().name(),
        tap(step.winding()),
        moment.meter().shown(test, moment.celsius()),
        test.end() == ResistanceTest.End.NOT_SETTLED ? Status.NOT_SETTLED : Status.OK,
        test.seconds());
  }

  /** Returns the tap that a resistance is labelled with: HV always, LV where it is tapped. */
  private OptionalInt tap(Winding winding) {
    Plate.Taps taps = scenario.plate().taps();
    return winding == Winding.HV || winding == taps.winding()
        ? OptionalInt.of(taps.principal())
        : OptionalInt.empty();
  }

  private static Duration after(Duration moment, double seconds) {
    return moment.plusNanos(Math.round(seconds * 1e9));
  }
}
