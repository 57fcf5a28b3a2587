package org.tallywire.acceptance;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.util.List;
import java.util.Optional;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;
import org.tallywire.acceptance.Criterion.Kind;
import org.tallywire.acceptance.Verdict.State;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.Unit;

class PhaseTest {

  private static final Criterion PHASE =
      RatioBench.criterion(Kind.PHASE_DISPLACEMENT, "1.0", "0.05");

  private static Verdict displacement(String degrees) {
    RatioBench bench = new RatioBench(Samples.dyn11(), PHASE);
    return RatioBench.only(
        bench.take(
            "A/3",
            Reading.Status.OK,
            Samples.value(Quantity.PHASE_DISPLACEMENT, degrees, Unit.DEGREE)));
  }

  // limit 1.0 degree, U 0.05 (common practice: standards give no limit)
  @ParameterizedTest
  @CsvSource({
    "0.02,0.02,PASS",
    "0,0,PASS",
    "-0.95,-0.95,PASS",
    "0.951,0.951,CONDITIONAL_PASS",
    "-1.0,-1.0,CONDITIONAL_PASS",
    "1.05,1.05,CONDITIONAL_FAIL",
    "1.06,1.06,FAIL",
    "180,180,FAIL",
    "-180,-180,FAIL",
    "180.01,-179.99,FAIL",
    "359.98,-0.02,PASS",
    "-359.98,0.02,PASS",
    "360,0,PASS",
    "-360,0,PASS"
  })
  void phaseDisplacementIsHeldAgainstZero(String degrees, String deviation, State state) {
    Verdict v = displacement(degrees);
    assertEquals(state, v.state(), v.sentence());
    assertEquals(0, v.deviation().orElseThrow().compareTo(Samples.n(deviation)), v.sentence());
    assertEquals(Optional.of(Samples.n(degrees)), v.measured());
    assertEquals(Optional.of(BigDecimal.ZERO), v.expected());
    assertEquals(Unit.DEGREE, v.deviationUnit());
  }

  @ParameterizedTest
  @ValueSource(strings = {"360.01", "-360.01", "4000"})
  void anAngleBeyondAFullTurnIsNotJudged(String degrees) {
    Verdict v = displacement(degrees);
    assertEquals(State.UNDECIDED, v.state());
    assertEquals(
        "HV-LV A tap 3: phase displacement not judged: the phase-displacement is %s degrees, beyond a full turn."
            .formatted(degrees),
        v.sentence());
    assertEquals("Check the instrument's driver, and take it again.", v.next());
  }

  @Test
  void itReadsWell() {
    Verdict good = displacement("0.02");
    assertEquals(
        "HV-LV A tap 3: phase displacement 0.02 degrees (limit ±1 degrees): pass.",
        good.sentence());
    assertEquals(List.of(), good.findings());
    assertEquals("Go on.", good.next());
    Verdict v = displacement("30.0");
    assertEquals(
        "HV-LV A tap 3: phase displacement 30.0 degrees (limit ±1 degrees): fail.", v.sentence());
    assertEquals(1, v.findings().size());
    assertTrue(v.findings().get(0).sentence().contains("not belong together"));
    assertEquals(
        "Switch the test voltage off, check both pairs of leads against 1U-1V / 2u-2n, and take it"
            + " again.",
        v.next());
  }

  // from 170 degrees on a pair is taken for reversed (practice)
  @ParameterizedTest
  @CsvSource({"-179.9,true", "170,true", "169.9,false", "-170,true", "190,true", "190.1,false"})
  void aReversedPairIsSeen(String degrees, boolean reversed) {
    Verdict v = displacement(degrees);
    assertEquals(reversed, v.sentence().endsWith(": fail; the pairs are in opposition."));
    assertEquals(reversed ? 2 : 1, v.findings().size());
    if (reversed) {
      assertEquals(
          Finding.seen(
              "A",
              "At %s degrees the HV and the LV pair of phase A are in opposition."
                  .formatted(degrees)),
          v.findings().get(0));
      assertTrue(v.findings().get(1).sentence().contains("reversed: check them against 1U-1V"));
    }
  }

  private static List<Finding> single(String group, String power, String hv, String degrees) {
    SamplePlate plate = new SamplePlate();
    plate.group = group;
    plate.core = CoreForm.SINGLE_PHASE;
    plate.power = power;
    plate.hv = hv;
    plate.lv = "120";
    RatioBench bench = new RatioBench(plate.plate(), PHASE);
    return RatioBench.only(
            bench.take(
                "A/1",
                Reading.Status.OK,
                Samples.value(Quantity.PHASE_DISPLACEMENT, degrees, Unit.DEGREE),
                Samples.value(Quantity.TURNS_RATIO, "20", Unit.ONE),
                Samples.value(Quantity.TEST_VOLTAGE, "120", Unit.VOLT)))
        .findings();
  }

  // IEEE C57.12.80-1978 (found); 2400/120 V excited with 120 V: 126 or 114 V (derived)
  @ParameterizedTest
  @CsvSource({
    "Ii0,0.01,subtractive,less,114",
    "Ii0,179.9,additive,plus,126",
    "Ii6,0.01,additive,plus,126",
    "Ii6,-179.9,subtractive,less,114"
  })
  void polarityOfASinglePhaseUnit(
      String group, String degrees, String polarity, String sum, String volts) {
    Finding polarities =
        single(group, "50", "2400", degrees).stream()
            .filter(f -> f.sentence().startsWith("The polarity"))
            .findFirst()
            .orElseThrow();
    assertEquals(
        Finding.seen(
            "A",
            "The polarity is %s: with 1.1 and 2.1 joined and HV excited, 1.2 to 2.2 has the HV voltage %s that of LV, here %s V at 120 V."
                .formatted(polarity, sum, volts)),
        polarities);
  }

  // C57.12.00-2010 as quoted (found): up to 200 kVA with HV up to 8660 V additive, else subtractive
  @ParameterizedTest
  @CsvSource({
    "Ii6,200,8660,''",
    "Ii0,200,8660,additive",
    "Ii6,201,8660,subtractive",
    "Ii0,201,8660,''",
    "Ii6,200,8661,subtractive",
    "Ii0,200,8661,''"
  })
  void anUnusualPolarityIsHintedAt(String group, String power, String hv, String usual) {
    List<Finding> findings = single(group, power, hv, "0");
    assertEquals(usual.isEmpty() ? 1 : 2, findings.size(), findings.toString());
    if (!usual.isEmpty()) {
      assertEquals(Finding.Kind.HINT, findings.get(1).kind());
      assertTrue(findings.get(1).sentence().contains("of this size would be " + usual));
    }
  }

  @Test
  void noPolarityBetweenInPhaseAndInOpposition() {
    assertTrue(
        single("Ii0", "50", "2400", "90").stream()
            .noneMatch(f -> f.sentence().startsWith("The polarity")));
  }

  @Test
  void noVoltageNoFigure() {
    SamplePlate plate = new SamplePlate();
    plate.group = "Ii0";
    plate.core = CoreForm.SINGLE_PHASE;
    RatioBench bench = new RatioBench(plate.plate(), PHASE);
    Verdict v = RatioBench.only(bench.take("A/1", "25.4", "0.1"));
    assertTrue(v.findings().get(0).sentence().endsWith("less that of LV."), v.toString());
  }
}
