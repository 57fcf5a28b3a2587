package org.tallywire.acceptance;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.math.RoundingMode;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.tallywire.acceptance.Nameplate.ResistanceReference;
import org.tallywire.acceptance.Verdict.State;
import org.tallywire.acceptance.resistance.ConductorConstants;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;

class ResistanceTest {

  // constants 234.5 for copper and 225 for aluminium found (EnergyPlus Engineering Reference);
  // factors derived. HV is copper here, LV aluminium.
  @ParameterizedTest
  @CsvSource({
    "10,75,1.265849,1.276596",
    "20,75,1.216110,1.224490",
    "25,75,1.192678,1.200000",
    "30,75,1.170132,1.176471",
    "40,75,1.127505,1.132075",
    "20,85,1.255403,1.265306"
  })
  void isCorrectedToTheReferenceTemperature(
      String from, String to, BigDecimal copper, BigDecimal aluminium) throws Exception {
    Nameplate plate = withReferenceTemperature(to);
    assertEquals(copper, corrected(plate, "winding-resistance/HV/A/3", "1", from, 6));
    assertEquals(aluminium, corrected(plate, "winding-resistance/LV/A", "1", from, 6));
  }

  // 100 mOhm at 25 °C is 119.267823 mOhm at 75 °C in copper, 120 in aluminium (derived)
  @Test
  void hundredMilliohms() throws Exception {
    Nameplate plate = Samples.dyn11();
    BookedReading booked =
        Samples.booked(
            Samples.step(plate, "winding-resistance/HV/A/3"),
            1,
            Samples.value(Quantity.WINDING_RESISTANCE, "100", new Unit("mOhm")),
            Samples.value(Quantity.WINDING_TEMPERATURE, "25", Unit.CELSIUS));
    assertEquals(
        Samples.n("0.119267823"),
        new Correction(plate, ConductorConstants.IEEE)
            .corrected(booked)
            .setScale(9, RoundingMode.HALF_EVEN));
    assertEquals(
        Samples.n("0.120000000"), corrected(plate, "winding-resistance/LV/A", "0.1", "25", 9));
  }

  private static BigDecimal corrected(
      Nameplate plate, String step, String ohms, String celsius, int decimals) throws Exception {
    BookedReading booked =
        Samples.booked(Samples.step(plate, step), 1, Samples.resistanceValues(ohms, celsius));
    return new Correction(plate, ConductorConstants.IEEE)
        .corrected(booked)
        .setScale(decimals, RoundingMode.HALF_EVEN);
  }

  private static Nameplate withReferenceTemperature(String celsius) {
    SamplePlate plate = new SamplePlate().taps("11550", "11275", "11000", "10725", "10450");
    plate.referenceTemperature = celsius;
    return plate.plate();
  }

  private static Verdict against(String reference, String ohms, String celsius) {
    Nameplate plate =
        Samples.plate(
            "Dyn11",
            "433",
            Optional.empty(),
            List.of(new ResistanceReference("HV", "A", Samples.n(reference))),
            11000);
    BookedReading booked =
        Samples.booked(
            Samples.step(plate, "winding-resistance/HV/A/1"),
            1,
            Samples.resistanceValues(ohms, celsius));
    return Samples.judged(plate, List.of(booked), "resistance-deviation");
  }

  @Test
  void isHeldAgainstItsReference() {
    Verdict v = against("0.1200", "0.1000", "25");
    // 0.119267823 against 0.12: -0.610148 %
    assertEquals(State.PASS, v.state());
    assertEquals(Optional.of(Samples.n("0.11926782")), v.measured());
    assertEquals(Optional.of(Samples.n("0.1200")), v.expected());
    assertEquals(Unit.OHM, v.unit());
    assertEquals(
        Samples.n("-0.6101"), v.deviation().orElseThrow().setScale(4, RoundingMode.HALF_EVEN));
    assertEquals("winding-resistance/HV/A/1", v.subject());
    assertEquals(
        "HV A tap 1: resistance 0.1000 Ω at 25 °C is 0.119268 Ω at 75 °C, -0.610 % from 0.1200 Ω (limit"
            + " ±2 %): pass.",
        v.sentence());
  }

  @Test
  void beyondItsLimitSaysWhatItMayBe() {
    Verdict high = against("1.00", "1.03", "75");
    assertEquals(State.FAIL, high.state());
    assertEquals("A", high.findings().get(0).phase());
    assertTrue(high.findings().get(0).sentence().contains("bad joint"));
    assertEquals(
        "Run the current down and let the winding discharge; then check leads, terminals, tap"
            + " position and temperature, and take it again.",
        high.next());
    assertEquals("Go on.", against("1.00", "1.00", "75").next());
    Verdict low = against("1.00", "0.975", "75");
    assertEquals(State.CONDITIONAL_FAIL, low.state());
    assertTrue(low.findings().get(0).sentence().contains("shorted turns"));
    assertEquals(List.of(), against("1.00", "1.02", "75").findings());
  }

  @Test
  void isNotJudgedWhereThereIsNoReference() {
    Nameplate plate = Samples.dyn11();
    BookedReading booked =
        Samples.booked(
            Samples.step(plate, "winding-resistance/LV/A"),
            1,
            Samples.resistanceValues("0.002", "20"));
    assertEquals(
        List.of(),
        Samples.examine(new Examiner("set-1", plate, Samples.table()), booked, List.of(booked)));
  }

  private static Verdict unbalance(String... ohms) {
    Nameplate plate = Samples.dyn11();
    return Samples.judged(plate, Samples.resistances(plate, ohms), "resistance-unbalance");
  }

  // (max - min) / mean x 100, no single definition is standard; figures derived
  @ParameterizedTest
  @CsvSource({
    "1.00,1.02,0.98,4.000000,FAIL",
    "0.4521,0.4538,0.4609,1.931519,CONDITIONAL_PASS",
    "2.02,2.00,1.98,2.000000,CONDITIONAL_PASS",
    "5,5,5,0.000000,PASS"
  })
  void unbalanceIsTheSpreadOverTheMean(
      String a, String b, String c, BigDecimal unbalance, State state) {
    Verdict v = unbalance(a, b, c);
    assertEquals(Optional.of(unbalance), v.deviation());
    assertEquals(state, v.state());
    assertEquals("winding-resistance/LV", v.subject());
  }

  // a delta halves the visible unbalance: 1.980 % of the phases shows as 0.990 % (derived)
  @Test
  void aDeltaShowsHalfTheSpread() {
    assertEquals(
        Optional.of(Samples.n("1.980198")), unbalance("0.300", "0.306", "0.303").deviation());
    assertEquals(
        Samples.n("0.990"),
        unbalance("0.200990099010", "0.202990099010", "0.202000000000")
            .deviation()
            .orElseThrow()
            .setScale(3, RoundingMode.HALF_EVEN));
  }

  @Test
  void unbalanceReadsWellAndAPassHasNoFinding() {
    Verdict v = unbalance("0.4521", "0.4538", "0.4609");
    assertEquals(
        "LV: resistances at 75 °C: A 0.4521 Ω, B 0.4538 Ω, C 0.4609 Ω; highest and lowest differ by 1.932 %"
            + " of the mean (limit 2 %): conditional pass, nearer to the limit than the uncertainty"
            + " of 0.3 %.",
        v.sentence());
    assertEquals(List.of(), v.findings());
    assertEquals(0, v.measured().orElseThrow().compareTo(Samples.n("0.4609")));
    assertEquals(0, v.expected().orElseThrow().compareTo(Samples.n("0.4521")));
  }

  @Test
  void theOddPhaseIsNamedWithItsDistanceFromTheOtherTwo() {
    Finding high = unbalance("1.000", "1.002", "1.051").findings().get(0);
    assertEquals("C", high.phase());
    // 1.051 against 1.001: 4.995 %
    assertTrue(
        high.sentence().startsWith("Phase C is 4.995 % above the mean of the other two")
            && high.sentence().contains("bad joint"),
        high.sentence());
    Finding low = unbalance("0.900", "1.000", "1.002").findings().get(0);
    assertEquals("A", low.phase());
    assertTrue(low.sentence().contains("below") && low.sentence().contains("shorted turns"));
  }

  @Test
  void bothPhasesAreNamedWhereTwoAreEquallyFar() {
    List<Finding> findings = unbalance("1.00", "1.02", "0.98").findings();
    assertEquals(List.of("B", "C"), findings.stream().map(Finding::phase).toList());
  }

  // each phase at its own temperature; the subject of HV carries its tap
  @Test
  void unbalanceComparesAtOneTemperature() {
    Nameplate plate = Samples.dyn11();
    String[] celsius = {"20", "25", "30"};
    // 1 Ohm at 75 °C in copper, taken back to each temperature
    String[] ohms = {"0.822294", "0.838449", "0.854604"};
    List<BookedReading> three = new ArrayList<>();
    for (int i = 0; i < 3; i++) {
      Step step = Samples.step(plate, "winding-resistance/HV/" + Step.PHASES.get(i) + "/3");
      three.add(Samples.booked(step, i, Samples.resistanceValues(ohms[i], celsius[i])));
    }
    Verdict v = Samples.judged(plate, three, "resistance-unbalance");
    assertEquals("winding-resistance/HV/3", v.subject());
    assertTrue(v.deviation().orElseThrow().compareTo(Samples.n("0.001")) < 0, v.sentence());
  }
}
