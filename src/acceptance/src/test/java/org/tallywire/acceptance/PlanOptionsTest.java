package org.tallywire.acceptance;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.math.RoundingMode;
import java.util.EnumSet;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.Set;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.tallywire.acceptance.Nameplate.ResistanceReference;
import org.tallywire.acceptance.PlanOptions.TestKind;
import org.tallywire.api.Unit;

class PlanOptionsTest {

  private static final PlanOptions EVERYTHING =
      new PlanOptions(EnumSet.allOf(TestKind.class), RatioBasis.TERMINALS);

  private static SamplePlate plate(String group) {
    SamplePlate plate = new SamplePlate();
    plate.group = group;
    return plate;
  }

  private static Step step(SamplePlate plate, String id) {
    return TestPlan.of(plate.plate(), EVERYTHING).step(id).orElseThrow();
  }

  // factors over the line-to-line ratio: winding ratio by the Modelica Standard Library's formula
  // (found; with a zigzag HV side its reciprocal, derived), terminals by the lead table derived
  // from the clock definition; 10000/400 V has the ratio 25
  @ParameterizedTest
  @CsvSource({
    "Dyn11,winding,43.301270",
    "Dyn11,terminals,43.301270",
    "Dyn11,line,25.000000",
    "Dzn0,winding,37.500000",
    "Dzn0,terminals,25.000000",
    "Dzn0,line,25.000000",
    "Yzn11,winding,21.650635",
    "Yzn11,terminals,43.301270",
    "Yzn11,line,25.000000",
    "YNd1,winding,14.433757",
    "YNd1,terminals,14.433757",
    "YNd1,line,25.000000",
    "YNyn0,winding,25.000000",
    "Zyn11,winding,28.867513",
    "Zd0,winding,16.666667",
    "Ii0,winding,25.000000",
    "Ii6,terminals,25.000000",
    "Yd1,line,25.000000",
    "Yd1,winding,14.433757",
    "Yd1,terminals,21.650635"
  })
  void theExpectedRatioIsWhatTheInstrumentShows(String group, String basis, String ratio) {
    SamplePlate plate = plate(group);
    plate.hv = "10000";
    plate.lv = "400";
    PlanOptions options =
        new PlanOptions(Set.of(TestKind.TURNS_RATIO), RatioBasis.of(basis).orElseThrow());
    BigDecimal expected =
        TestPlan.of(plate.plate(), options)
            .step("turns-ratio/HV-LV/A/1")
            .orElseThrow()
            .expected()
            .orElseThrow();
    assertEquals(ratio, expected.setScale(6, RoundingMode.HALF_EVEN).toPlainString());
    assertTrue(expected.precision() <= 30, expected.toPlainString());
  }

  // what is said of the terminals does not depend on what the instrument shows
  @Test
  void theTerminalsStayWithEveryBasis() {
    Nameplate plate = plate("Dyn11").plate();
    for (RatioBasis basis : RatioBasis.values()) {
      TestPlan plan = TestPlan.of(plate, new PlanOptions(Set.of(TestKind.TURNS_RATIO), basis));
      assertEquals(3, plan.steps().size());
      assertEquals("1U-1V / 2u-2n", plan.steps().get(0).terminals());
      assertEquals(Optional.of(basis), RatioBasis.of(basis.word()));
    }
    assertEquals(Optional.empty(), RatioBasis.of("sideways"));
  }

  // FIST 3-30, 9.3.3: direct current through a winding falsifies what follows, so it comes last
  @Test
  void testsComeInThePlansOwnOrder() {
    List<String> ids =
        TestPlan.of(plate("Dyn11").plate(), EVERYTHING).steps().stream().map(Step::id).toList();
    assertEquals(
        List.of(
            "turns-ratio/HV-LV/A/1",
            "turns-ratio/HV-LV/B/1",
            "turns-ratio/HV-LV/C/1",
            "short-circuit-impedance/HV-LV/ABC/1",
            "insulation-resistance/HV-LV/ABC",
            "insulation-resistance/HV-earth/ABC",
            "insulation-resistance/LV-earth/ABC",
            "winding-resistance/HV/A/1",
            "winding-resistance/HV/B/1",
            "winding-resistance/HV/C/1",
            "winding-resistance/LV/A",
            "winding-resistance/LV/B",
            "winding-resistance/LV/C"),
        ids);
    assertEquals(
        TestPlan.of(plate("Dyn11").plate()),
        TestPlan.of(
            plate("Dyn11").plate(),
            new PlanOptions(
                Set.of(TestKind.WINDING_RESISTANCE, TestKind.TURNS_RATIO), RatioBasis.TERMINALS)));
    assertThrows(
        IllegalArgumentException.class, () -> new PlanOptions(Set.of(), RatioBasis.TERMINALS));
  }

  @Test
  void insulationIsMeasuredWithEveryTerminalOfASideJoined() {
    SamplePlate plate = plate("Dyn11");
    Step between = step(plate, "insulation-resistance/HV-LV/ABC");
    assertEquals("1U+1V+1W / 2u+2v+2w+2n, guard on the tank", between.terminals());
    assertEquals(Unit.MEGOHM, between.unit());
    assertEquals(Optional.empty(), between.expected());
    assertEquals(OptionalInt.empty(), between.tap());
    // IEEE 43 (memory)
    assertTrue(between.note().orElseThrow().contains("keep it earthed for at least as long"));
    assertEquals(
        "1U+1V+1W / tank and earth, guard on 2u+2v+2w+2n",
        step(plate, "insulation-resistance/HV-earth/ABC").terminals());
    assertEquals(
        "2u+2v+2w / tank and earth, guard on 1U+1V+1W+1N",
        step(plate("YNd1"), "insulation-resistance/LV-earth/ABC").terminals());
  }

  @Test
  void impedanceIsThePlatesOnThePrincipalTap() {
    SamplePlate plate = plate("Dyn11").taps("11550", "11000", "10450");
    Step step = step(plate, "short-circuit-impedance/HV-LV/ABC/2");
    assertEquals("1U-1V-1W fed, 2u+2v+2w shorted", step.terminals());
    assertEquals(Optional.of(Samples.n("4.00")), step.expected());
    assertEquals(Unit.PERCENT, step.unit());
    assertEquals(OptionalInt.of(2), step.tap());
    assertTrue(step.note().orElseThrow().contains("with the unit de-energised and earthed"));
    plate.impedance = Optional.empty();
    assertEquals(Optional.empty(), step(plate, "short-circuit-impedance/HV-LV/ABC/2").expected());
  }

  @Test
  void aSinglePhaseUnitHasPhaseAAlone() {
    SamplePlate plate = plate("Ii6").taps("11550", "11000", "10450");
    plate.references = List.of(new ResistanceReference("LV", "A", Samples.n("0.01")));
    assertEquals(
        List.of(
            "turns-ratio/HV-LV/A/1 1.1-1.2 / 2.2-2.1",
            "turns-ratio/HV-LV/A/2 1.1-1.2 / 2.2-2.1",
            "turns-ratio/HV-LV/A/3 1.1-1.2 / 2.2-2.1",
            "short-circuit-impedance/HV-LV/A/2 1.1-1.2 fed, 2.1+2.2 shorted",
            "insulation-resistance/HV-LV/A 1.1+1.2 / 2.1+2.2, guard on the tank",
            "insulation-resistance/HV-earth/A 1.1+1.2 / tank and earth, guard on 2.1+2.2",
            "insulation-resistance/LV-earth/A 2.1+2.2 / tank and earth, guard on 1.1+1.2",
            "winding-resistance/HV/A/2 1.1-1.2",
            "winding-resistance/LV/A 2.1-2.2"),
        TestPlan.of(plate.plate(), EVERYTHING).steps().stream()
            .map(s -> s.id() + " " + s.terminals())
            .toList());
    assertEquals(Optional.of(Samples.n("0.01")), step(plate, "winding-resistance/LV/A").expected());
    plate.references = List.of(new ResistanceReference("LV", "B", Samples.n("0.01")));
    IllegalArgumentException e = assertThrows(IllegalArgumentException.class, plate::plate);
    assertTrue(
        e.getMessage().contains("is for LV phase B, not for HV or LV, phase A"), e.getMessage());
  }

  @Test
  void theCoreOfASinglePhaseUnitIsSinglePhase() {
    Nameplate plate = plate("Ii0").plate();
    IllegalArgumentException e =
        assertThrows(
            IllegalArgumentException.class,
            () ->
                new Nameplate(
                    plate.asset(),
                    plate.group(),
                    plate.ratedPower(),
                    plate.hvVoltage(),
                    plate.lvVoltage(),
                    plate.frequency(),
                    plate.tapChangers(),
                    plate.hvConductor(),
                    plate.lvConductor(),
                    plate.referenceTemperature(),
                    plate.impedancePercent(),
                    plate.noLoadCurrentPercent(),
                    plate.lvTurns(),
                    CoreForm.FIVE_LIMB,
                    plate.references(),
                    plate.earlierRatios()));
    assertTrue(
        e.getMessage().contains("Ii0 is single-phase, yet the core is five-limb"), e.getMessage());
    SamplePlate bank = plate("Dyn11");
    bank.core = CoreForm.SINGLE_PHASE;
    assertEquals(CoreForm.SINGLE_PHASE, bank.plate().core());
  }

  @Test
  void aPlanAsksTheSameWhateverItSays() {
    TestPlan plan = TestPlan.of(plate("Dyn11").plate());
    TestPlan told =
        new TestPlan(
            plan.steps().stream()
                .map(
                    s ->
                        new Step(
                            s.id(),
                            s.test(),
                            s.windings(),
                            s.phase(),
                            s.tap(),
                            s.onLoadTap(),
                            "elsewhere",
                            s.expected(),
                            s.unit(),
                            Optional.of("mind the step")))
                .toList());
    assertTrue(plan.asksTheSame(told));
    assertFalse(
        plan.asksTheSame(
            TestPlan.of(plate("Dyn11").plate(), new PlanOptions(USUAL_TESTS, RatioBasis.LINE))));
    assertFalse(plan.asksTheSame(TestPlan.of(plate("Dyn11").plate(), EVERYTHING)));
    assertFalse(plan.asksTheSame(TestPlan.of(plate("Ii0").plate())));
    assertFalse(plan.asksTheSame(new TestPlan(plan.steps().subList(0, 8))));
  }

  private static final Set<TestKind> USUAL_TESTS =
      Set.of(TestKind.TURNS_RATIO, TestKind.WINDING_RESISTANCE);

  @Test
  void wordsAreThoseOfTheSteps() {
    assertEquals(
        List.of(
            "turns-ratio",
            "short-circuit-impedance",
            "insulation-resistance",
            "winding-resistance"),
        TestKind.words());
    for (TestKind test : TestKind.values()) {
      assertEquals(Optional.of(test), TestKind.of(test.word()));
    }
    assertEquals(Optional.empty(), TestKind.of("noise"));
  }
}
