package org.tallywire.simulator.tester;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.time.Duration;
import java.util.List;
import java.util.Optional;
import org.junit.jupiter.api.Test;
import org.tallywire.simulator.scenario.Fault;
import org.tallywire.simulator.scenario.Faults;
import org.tallywire.simulator.scenario.LeadFault.MissingNeutral;
import org.tallywire.simulator.scenario.LineFault.Freeze;
import org.tallywire.simulator.scenario.Phase;
import org.tallywire.simulator.scenario.Planted;
import org.tallywire.simulator.scenario.TesterFault.FrozenDisplay;
import org.tallywire.simulator.scenario.TesterFault.Noisy;
import org.tallywire.simulator.scenario.UnitFault.HotWinding;
import org.tallywire.simulator.scenario.UnitFault.OpenWinding;
import org.tallywire.simulator.scenario.Winding;

/** Faults that come and go between two measurements. Ratios begin at 0, 0.7, 1.4 … s. */
class NeverMeasuredTest {

  private static final Fault OPEN = new OpenWinding(Winding.LV, Phase.B);

  private static Planted planted(Fault fault, long fromMillis, long untilMillis) {
    return new Planted(
        fault, Duration.ofMillis(fromMillis), Optional.of(Duration.ofMillis(untilMillis)));
  }

  private static List<Planted> neverMeasured(Planted... planted) {
    TestRun run = new TestRun(Bench.scenario(4), new Faults(List.of(planted)));
    Bench.run(run);
    return run.neverMeasured();
  }

  @Test
  void oneThatIsOverBeforeTheNextMeasurementBeginsIsTold() {
    Planted unit = planted(OPEN, 750, 1350);
    Planted leads = planted(new MissingNeutral(Winding.LV), 100, 700);
    Planted tester = planted(new FrozenDisplay(), 1, 2);
    assertEquals(List.of(unit, leads, tester), neverMeasured(unit, leads, tester));
  }

  @Test
  void oneThatIsThereAsAMeasurementBeginsIsNotTold() {
    assertEquals(
        List.of(),
        neverMeasured(
            planted(OPEN, 0, 1),
            planted(new MissingNeutral(Winding.LV), 700, 701),
            planted(new Noisy(3), 1000, 1401),
            new Planted(new HotWinding(20), Duration.ofSeconds(20), Optional.empty())));
  }

  @Test
  void oneThatWouldComeAfterTheRunIsTold() {
    Planted late = new Planted(OPEN, Duration.ofHours(2), Optional.empty());
    assertEquals(List.of(late), neverMeasured(late));
  }

  @Test
  void theSameFaultAtTwoTimesIsTwo() {
    Planted seen = planted(OPEN, 0, 100);
    Planted missed = planted(OPEN, 200, 300);
    assertEquals(List.of(missed), neverMeasured(seen, missed));
  }

  @Test
  void theLineIsNotMeasuredAndNotTold() {
    assertEquals(List.of(), neverMeasured(planted(new Freeze(), 100, 200)));
  }

  @Test
  void whileTheRunGoesOnItIsWhatWasNotMeasuredSoFar() {
    Planted later = planted(OPEN, 1000, 1500);
    TestRun run = new TestRun(Bench.scenario(4), new Faults(List.of(later)));
    assertEquals(List.of(later), run.neverMeasured());
    run.next();
    run.next();
    assertEquals(List.of(later), run.neverMeasured());
    run.next();
    assertEquals(List.of(), run.neverMeasured());
  }

  @Test
  void whatWasClearedIsNotTold() {
    Faults faults = new Faults(List.of(planted(OPEN, 100, 200)));
    TestRun run = new TestRun(Bench.scenario(4), faults);
    run.next();
    faults.clear();
    assertEquals(List.of(), run.neverMeasured());
  }
}
