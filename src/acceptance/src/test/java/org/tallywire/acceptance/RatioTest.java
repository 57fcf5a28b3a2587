package org.tallywire.acceptance;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.math.RoundingMode;
import java.util.List;
import java.util.Optional;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.tallywire.acceptance.Verdict.State;
import org.tallywire.acceptance.figure.Percent;
import org.tallywire.api.Unit;

class RatioTest {

  // common practice: (measured - expected) / expected x 100; figures derived,
  // the second for 3 x √3
  @ParameterizedTest
  @CsvSource({
    "47.75,47.631397208,0.24900129",
    "5.2100,5.196152422706632,0.26649675",
    "43.80,44.001290723,-0.45746550"
  })
  void percentIsMeasuredMinusExpected(BigDecimal measured, BigDecimal expected, BigDecimal dev) {
    assertEquals(dev, Percent.off(measured, expected).setScale(8, RoundingMode.HALF_EVEN));
  }

  // IEC 60076-1:1993+A1:1999, table 1, item 2 (found): the lower of 0.5 % and a tenth of the
  // impedance; figures derived
  @ParameterizedTest
  @CsvSource({"3.8,0.38", "4,0.4", "4.5,0.45", "5,0.5", "6,0.5", "10.6,0.5"})
  void theLimitIsTheLowerOfTableAndTenthOfImpedance(BigDecimal impedance, BigDecimal limit) {
    Nameplate plate = Samples.plate("Dyn11", "433", Optional.of(impedance), List.of(), 11000);
    assertEquals(0, RatioRule.limit(Samples.ratioDeviation("0.5", true), plate).compareTo(limit));
    assertEquals(Samples.n("0.5"), RatioRule.limit(Samples.ratioDeviation("0.5", false), plate));
  }

  private static Verdict ratio(Nameplate plate, String step, String measured) {
    BookedReading booked =
        Samples.booked(Samples.step(plate, step), 1, Samples.ratioValues(measured, "4.31"));
    return Samples.judged(plate, List.of(booked), "ratio-deviation");
  }

  @Test
  void aGoodRatioPassesWithEveryFigure() {
    Verdict v = ratio(Samples.dyn11(), "turns-ratio/HV-LV/A/1", "46.2039");
    assertEquals(
        "HV-LV A tap 1: ratio 46.2039 is +0.006 % from 46.2014 (limit ±0.4 %): pass.",
        v.sentence());
    assertEquals(State.PASS, v.state());
    assertEquals(Optional.of(Samples.n("46.2039")), v.measured());
    assertEquals(Optional.of(Samples.n("46.201355")), v.expected());
    assertEquals(Unit.ONE, v.unit());
    // (46.2039 - 46.201355259...) / 46.201355259... x 100
    assertEquals(Optional.of(Samples.n("0.005508")), v.deviation());
    assertEquals(Unit.PERCENT, v.deviationUnit());
    assertEquals(0, v.limit().compareTo(Samples.n("0.4")));
    assertEquals(Samples.n("0.1"), v.uncertainty());
    assertEquals("turns-ratio/HV-LV/A/1", v.subject());
    assertEquals("bay-2", v.station());
    assertEquals("set-1", v.testSet());
    assertEquals("INVENTED-1", v.asset());
    assertEquals("2", v.method());
    assertEquals(List.of("bay-2:e1:1:0"), v.readings());
    assertEquals(List.of("booking:bay-2:e1:1:0"), v.bookings());
    assertEquals(Samples.START.plusSeconds(1), v.asOf());
    assertEquals(List.of(), v.findings());
    assertTrue(v.decisionRule().contains("ILAC-G8:09/2019"));
  }

  @Test
  void theMeasuredValueStaysAsSent() {
    Verdict v = ratio(Samples.dyn11(), "turns-ratio/HV-LV/A/3", "44.00");
    assertEquals("44.00", v.measured().orElseThrow().toPlainString());
  }

  // limit 0.4 % (impedance 4 %), U 0.1 %; expected exactly 40
  @ParameterizedTest
  @CsvSource({
    "40.12,PASS,0.300000",
    "40.1200001,CONDITIONAL_PASS,0.300000",
    "39.84,CONDITIONAL_PASS,-0.400000",
    "39.83999999999,CONDITIONAL_FAIL,-0.400000",
    "40.2,CONDITIONAL_FAIL,0.500000",
    "40.20000000000000000001,FAIL,0.500000",
    "-40,FAIL,-200.000000",
    "0,FAIL,-100.000000"
  })
  void boundariesAreExact(String measured, State state, BigDecimal deviation) {
    Nameplate plate = Samples.plate("YNyn0", "250", Optional.of(Samples.n("4")), List.of(), 10000);
    Verdict v = ratio(plate, "turns-ratio/HV-LV/A/1", measured);
    assertEquals(state, v.state(), v.sentence());
    assertEquals(Optional.of(deviation), v.deviation());
  }

  @Test
  void theSentenceShowsEnoughDigitsNotToContradictTheState() {
    Nameplate plate = Samples.plate("YNyn0", "250", Optional.of(Samples.n("4")), List.of(), 10000);
    Verdict v = ratio(plate, "turns-ratio/HV-LV/A/1", "40.16000004");
    assertEquals(
        "HV-LV A tap 1: ratio 40.16000004 is +0.4000001 % from 40 (limit ±0.4 %): conditional fail, nearer to the"
            + " limit than the uncertainty of 0.1 %.",
        v.sentence());
  }

  @Test
  void aPlateWithoutImpedanceIsSaidToHaveNone() {
    Nameplate plate = Samples.plate("YNyn0", "250", Optional.empty(), List.of(), 10000);
    Verdict v = ratio(plate, "turns-ratio/HV-LV/A/1", "40");
    assertEquals(
        "HV-LV A tap 1: ratio 40 is +0.000 % from 40 (limit ±0.5 %; the plate states no impedance to take a tenth"
            + " of): pass.",
        v.sentence());
  }

  @Test
  void aRatioOfAnotherTapIsFoundToBeOne() {
    Verdict v = ratio(Samples.dyn11(), "turns-ratio/HV-LV/B/3", "45.10");
    assertEquals(State.FAIL, v.state());
    assertEquals("B", v.findings().get(0).phase());
    assertTrue(
        v.findings().get(0).sentence().startsWith("Phase B reads like tap 2, not tap 3"),
        v.findings().toString());
  }

  // Dyn11: the line-to-line ratio is the winding ratio over √3
  @Test
  void aFactorOfTheSquareRootOfThreeIsFoundToBeOne() {
    for (String measured : List.of("25.404", "76.21")) {
      Verdict v = ratio(Samples.dyn11(), "turns-ratio/HV-LV/C/3", measured);
      assertTrue(
          v.findings().get(0).sentence().contains("set to group Dyn11")
              && v.findings().get(0).sentence().contains("1W-1U / 2w-2n"),
          v.findings().toString());
    }
  }

  @Test
  void otherFailuresNameTheWindingThatMayHaveLostTurns() {
    Verdict low = ratio(Samples.dyn11(), "turns-ratio/HV-LV/A/3", "43.5");
    assertTrue(low.findings().get(0).sentence().contains("shorted turns in HV A;"));
    Verdict high = ratio(Samples.dyn11(), "turns-ratio/HV-LV/A/3", "44.5");
    assertTrue(high.findings().get(0).sentence().contains("shorted turns in LV A;"));
  }
}
