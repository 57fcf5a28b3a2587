package org.tallywire.acceptance;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.util.EnumSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import org.junit.jupiter.api.Test;
import org.tallywire.acceptance.Criterion.Kind;
import org.tallywire.acceptance.Nameplate.ResistanceReference;
import org.tallywire.acceptance.PlanOptions.ResistanceTaps;
import org.tallywire.acceptance.PlanOptions.TestKind;

/** In which order things are done, and what is said of them before. */
class PlanOrderTest {

  private static final PlanOptions EVERY =
      new PlanOptions(
          EnumSet.of(TestKind.TURNS_RATIO, TestKind.WINDING_RESISTANCE),
          RatioBasis.TERMINALS,
          ResistanceTaps.EVERY);

  // FIST 3-30, 9.3.3 (found): excitation before any direct current; demagnetise after (found)
  @Test
  void ratioWithExcitationComesBeforeDirectCurrentAndDemagnetisingAfter() {
    Nameplate plate = new SamplePlate().taps("11550", "11000", "10450").plate();
    List<Step> steps =
        TestPlan.of(plate, new PlanOptions(Set.of(TestKind.values()), RatioBasis.TERMINALS))
            .steps();
    List<String> tests = steps.stream().map(Step::test).distinct().toList();
    assertEquals(Step.TURNS_RATIO, tests.get(0));
    assertEquals(Step.WINDING_RESISTANCE, tests.get(tests.size() - 1));
    assertTrue(steps.get(0).note().orElseThrow().contains("Read the excitation current"));
    assertTrue(steps.get(steps.size() - 1).note().orElseThrow().contains("demagnetise the core"));
    assertEquals(1, said(steps, "demagnetise the core"));
    assertEquals(1, said(steps, "Read the excitation current"));
  }

  private static long said(List<Step> steps, String words) {
    return steps.stream().filter(s -> s.note().orElse("").contains(words)).count();
  }

  @Test
  void resistanceOnEveryTapMovesTheTapChangersOfItsSideAlone() {
    SamplePlate two =
        new SamplePlate()
            .taps("11550", "11000", "10450")
            .taps(Side.LV, TapChanger.Kind.ON_LOAD, "455", "433", "411");
    two.references = List.of(new ResistanceReference("HV", "A", new BigDecimal("5")));
    TestPlan plan = TestPlan.of(two.plate(), EVERY);
    List<String> ofA =
        plan.steps().stream()
            .filter(s -> s.test().equals(Step.WINDING_RESISTANCE) && s.phase().equals("A"))
            .map(Step::id)
            .toList();
    assertEquals(
        List.of(
            "winding-resistance/HV/A/1/2",
            "winding-resistance/HV/A/2/2",
            "winding-resistance/HV/A/3/2",
            "winding-resistance/LV/A/2/2",
            "winding-resistance/LV/A/2/1",
            "winding-resistance/LV/A/2/3"),
        ofA);
    assertTrue(plan.step(ofA.get(1)).orElseThrow().expected().isPresent());
    assertFalse(plan.step(ofA.get(0)).orElseThrow().expected().isPresent());
    assertTrue(plan.step(ofA.get(0)).orElseThrow().note().orElseThrow().contains("can interrupt"));
    // the ids of the usual plan stay
    TestPlan usual = TestPlan.of(two.plate());
    usual.steps().forEach(step -> assertTrue(plan.step(step.id()).isPresent(), step::id));
  }

  // a tenth of 4.00 % is 0.4 % (IEC 60076-1, found): 44.0012907 · (1 ∓ 0.004)
  @Test
  void theLimitOfAStepIsSaidBeforeAndIsThatOfTheVerdict() {
    Nameplate plate = new SamplePlate().plate();
    CriteriaTable table =
        Samples.table(
            Samples.criterion(
                Kind.RATIO_DEVIATION,
                "0.001",
                Map.of("limit", "0.5", "tenth-of-impedance", "true")));
    TestPlan plan = TestPlan.of(plate);
    Step step = plan.steps().get(0);
    List<StepLimit> limits = StepLimit.of(table, plate, plan, step);
    assertEquals(1, limits.size());
    assertEquals("44.0013 (limit ±0.4 %), so 43.8253 to 44.1773", limits.get(0).sentence());
    assertEquals(List.of(), StepLimit.of(table, plate, plan, plan.steps().get(3)));
    assertEquals(Verdict.State.PASS, state(table, plate, step, "43.8263"));
    assertEquals(Verdict.State.FAIL, state(table, plate, step, "43.8243"));
  }

  private static Verdict.State state(
      CriteriaTable table, Nameplate plate, Step step, String ratio) {
    BookedReading booked = Samples.booked(step, 1, Samples.ratioValues(ratio, "4"));
    return new Examiner("set", plate, table)
        .examine(booked, Samples.evidence(List.of(booked)))
        .get(0)
        .state();
  }

  // 500 kVA: rated 26.2432 A, 15 % 3.93649, 10 % 2.62432; 1.2 · 0.8 % 0.251935
  @Test
  void theTestCurrentIsSaidInAmperes() {
    SamplePlate plate = new SamplePlate();
    plate.noLoadCurrent = Optional.of("0.8");
    CriteriaTable table =
        Samples.table(
            Samples.criterion(
                Kind.TEST_CURRENT,
                "0.1",
                Map.of("limit", "15", "caution", "10", "least-of-no-load", "1.2")));
    TestPlan plan = TestPlan.of(plate.plate());
    String said = StepLimit.of(table, plate.plate(), plan, plan.steps().get(3)).get(0).sentence();
    for (String figure : List.of("0.251935 A", "3.93648 A", "26.2432 A", "2.62432 A")) {
      assertTrue(said.contains(figure), said);
    }
  }

  @Test
  void cautionsGoWithTheTests() {
    Nameplate plate = new SamplePlate().plate();
    List<Caution> ratio =
        Caution.of(
            TestPlan.of(
                plate, new PlanOptions(Set.of(TestKind.TURNS_RATIO), RatioBasis.TERMINALS)));
    assertTrue(ratio.stream().noneMatch(c -> c.sentence().contains("direct current")));
    assertEquals(ratio.size() + 1, Caution.of(TestPlan.of(plate)).size());
    assertTrue(Caution.FIRST.contains("Local law"));
  }
}
