package org.tallywire.acceptance;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.math.RoundingMode;
import java.util.List;
import java.util.Optional;
import java.util.OptionalInt;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.tallywire.acceptance.Nameplate.ResistanceReference;
import org.tallywire.acceptance.TapChanger.Tap;
import org.tallywire.acceptance.figure.Percent;
import org.tallywire.api.Decimals;
import org.tallywire.api.Unit;

class TestPlanTest {

  // excitation (with the ratio) before direct current: FIST 3-30, 9.3.3
  @Test
  void takesAllPhasesOfATapBeforeTheNextAndResistanceLast() {
    List<String> ids = TestPlan.of(Samples.dyn11()).steps().stream().map(Step::id).toList();
    assertEquals(21, ids.size());
    assertEquals(
        List.of(
            "turns-ratio/HV-LV/A/1",
            "turns-ratio/HV-LV/B/1",
            "turns-ratio/HV-LV/C/1",
            "turns-ratio/HV-LV/A/2"),
        ids.subList(0, 4));
    assertEquals(
        List.of(
            "winding-resistance/HV/A/3",
            "winding-resistance/HV/B/3",
            "winding-resistance/HV/C/3",
            "winding-resistance/LV/A",
            "winding-resistance/LV/B",
            "winding-resistance/LV/C"),
        ids.subList(15, 21));
  }

  @Test
  void saysWhatEachStepIs() {
    Step ratio = Samples.step(Samples.dyn11(), "turns-ratio/HV-LV/C/3");
    assertEquals("1W-1U / 2w-2n", ratio.terminals());
    assertEquals(OptionalInt.of(3), ratio.tap());
    assertEquals(Unit.ONE, ratio.unit());
    BigDecimal expected = ratio.expected().orElseThrow();
    assertEquals(30, expected.precision());
    assertEquals(Optional.of(expected), Decimals.parse(expected.toPlainString()));
    Step lv = Samples.step(Samples.dyn11(), "winding-resistance/LV/B");
    assertEquals(OptionalInt.empty(), lv.tap());
    assertEquals(Optional.empty(), lv.expected());
    assertEquals(Unit.OHM, lv.unit());
  }

  // derived from the winding-ratio formula of the Modelica Standard Library
  @ParameterizedTest
  @CsvSource({
    "Dyn11,433,11550,46.201355",
    "Dyn11,433,11275,45.101323",
    "Dyn11,433,11000,44.001291",
    "Dyn11,433,10725,42.901258",
    "Dyn11,433,10450,41.801226",
    "Dyn1,480,13200,47.631397",
    "Dyn11,415,11000,45.909780",
    "YNd1,11000,33000,1.732051",
    "Dyn11,11000,33000,5.196152",
    "YNyn0,480,13200,27.500000"
  })
  void expectsTheWindingRatioOfTheTap(String group, String lv, int hv, BigDecimal ratio) {
    Nameplate plate = Samples.plate(group, lv, Optional.empty(), List.of(), hv);
    BigDecimal expected = Samples.step(plate, "turns-ratio/HV-LV/B/1").expected().orElseThrow();
    assertEquals(ratio, expected.setScale(6, RoundingMode.HALF_EVEN));
  }

  // three decimal places of 13200/277, the rounded phase voltage, differ: +0.046 % (derived)
  @Test
  void doesNotUseARoundedPhaseVoltage() {
    Nameplate plate = Samples.plate("Dyn1", "480", Optional.empty(), List.of(), 13200);
    BigDecimal expected = Samples.step(plate, "turns-ratio/HV-LV/A/1").expected().orElseThrow();
    BigDecimal rounded = new BigDecimal("47.653430");
    assertEquals(
        new BigDecimal("0.046"),
        Percent.off(rounded, expected).setScale(3, RoundingMode.HALF_EVEN));
  }

  // the leads named for a zigzag winding read line-to-line voltages, not N1/N2 = 1.5 K (derived,
  // checked against the netlists of the Modelica Standard Library)
  @Test
  void expectsOfAZigzagWhatItsTerminalsRead() {
    Nameplate plate = Samples.plate("Dzn0", "400", Optional.empty(), List.of(), 10000);
    Step step = Samples.step(plate, "turns-ratio/HV-LV/A/1");
    assertEquals("1U-1V / 2u-2v", step.terminals());
    assertEquals(0, step.expected().orElseThrow().compareTo(new BigDecimal("25")));
  }

  // derived: without a neutral one terminal against two tied, √3/2 of the ratio of voltages
  @Test
  void expectsOfTiedTerminalsWhatTheyRead() {
    Nameplate plate = Samples.plate("Yd1", "11000", Optional.empty(), List.of(), 33000);
    Step step = Samples.step(plate, "turns-ratio/HV-LV/B/1");
    assertEquals("1V-(1W+1U) / 2v-2w", step.terminals());
    assertEquals(new BigDecimal("2.59807621135331594029116951226"), step.expected().orElseThrow());
  }

  @Test
  void aSinglePhaseTransformerHasPhaseAAlone() {
    Nameplate plate = Samples.plate("Ii6", "240", Optional.empty(), List.of(), 7200, 7560);
    List<Step> steps = TestPlan.of(plate).steps();
    assertEquals(
        List.of(
            "turns-ratio/HV-LV/A/1",
            "turns-ratio/HV-LV/A/2",
            "winding-resistance/HV/A/1",
            "winding-resistance/LV/A"),
        steps.stream().map(Step::id).toList());
    assertEquals("1.1-1.2 / 2.2-2.1", steps.get(0).terminals());
    assertEquals(0, steps.get(0).expected().orElseThrow().compareTo(BigDecimal.valueOf(30)));
  }

  @Test
  void expectsTheReferenceResistance() {
    Nameplate plate =
        Samples.plate(
            "Dyn11",
            "400",
            Optional.empty(),
            List.of(
                new ResistanceReference("HV", "B", Samples.n("1.250")),
                new ResistanceReference("LV", "B", Samples.n("0.00210"))),
            10000);
    assertEquals(
        Optional.of(Samples.n("1.250")),
        Samples.step(plate, "winding-resistance/HV/B/1").expected());
    assertEquals(
        Optional.of(Samples.n("0.00210")),
        Samples.step(plate, "winding-resistance/LV/B").expected());
    assertEquals(Optional.empty(), Samples.step(plate, "winding-resistance/HV/A/1").expected());
  }

  @Test
  void refusesTwoStepsWithOneId() {
    Step step = Samples.step(Samples.dyn11(), "winding-resistance/LV/B");
    assertThrows(IllegalArgumentException.class, () -> new TestPlan(List.of(step, step)));
  }

  private static void impossible() {
    SamplePlate plate = new SamplePlate();
    plate.asset = " ";
    plate.power = "0";
    plate.hv = "400";
    plate.lv = "11000";
    plate.frequency = "-50";
    plate.tapChangers =
        List.of(
            new TapChanger(
                Side.HV,
                TapChanger.Kind.DE_ENERGISED,
                List.of(
                    new Tap(1, Samples.n("410")),
                    new Tap(1, Samples.n("0")),
                    new Tap(0, Samples.n("1"))),
                2));
    plate.referenceTemperature = "750";
    plate.impedance = Optional.of("0");
    plate.references =
        List.of(
            new ResistanceReference("TV", "D", Samples.n("0")),
            new ResistanceReference("TV", "D", Samples.n("1")));
    plate.plate();
  }

  @Test
  void aNameplateThatCannotBeIsRefusedWithAllItsProblems() {
    IllegalArgumentException e =
        assertThrows(IllegalArgumentException.class, TestPlanTest::impossible);
    for (String part :
        List.of(
            "asset has 1 characters, all blank",
            "rated power is 0 kVA",
            "frequency is -50 Hz",
            "impedance is 0 %",
            "HV voltage of 400 V is below the LV voltage of 11000 V",
            "reference temperature is 750",
            "tap position 0 is not 1 to 99",
            "tap position 1 is there twice",
            "tap 1 voltage is 0 V",
            "principal tap 2 is not among the taps",
            "for TV phase D, not for HV or LV",
            "reference resistance of TV phase D is there twice",
            "reference resistance of TV phase D is 0 Ohm")) {
      assertTrue(e.getMessage().contains(part), () -> part + " is not in: " + e.getMessage());
    }
  }

  @Test
  void aPrincipalTapWithAnotherVoltageThanRatedIsRefused() {
    SamplePlate plate = new SamplePlate();
    plate.tapChangers =
        List.of(
            SamplePlate.changer(
                Side.HV, TapChanger.Kind.DE_ENERGISED, 2, "11550", "11275", "11000"));
    IllegalArgumentException e = assertThrows(IllegalArgumentException.class, plate::plate);
    assertTrue(e.getMessage().contains("principal tap 2 has 11275 V"), e.getMessage());
  }
}
