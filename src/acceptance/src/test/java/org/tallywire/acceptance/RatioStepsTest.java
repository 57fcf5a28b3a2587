package org.tallywire.acceptance;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Objects;
import java.util.Optional;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.tallywire.acceptance.Criterion.Kind;
import org.tallywire.acceptance.Verdict.State;
import org.tallywire.api.Reading;
import org.tallywire.api.Unit;

/** Steps from tap to tap (common practice). */
class RatioStepsTest {

  private static final Criterion STEPS = RatioBench.criterion(Kind.RATIO_STEPS, "0.25", "0.05");

  /** A unit of 40 on the principal tap, with steps of 1. */
  private static RatioBench bench() {
    SamplePlate plate = new SamplePlate().taps("10500", "10250", "10000", "9750", "9500");
    plate.group = "YNyn0";
    plate.lv = "250";
    return new RatioBench(plate.plate(), STEPS);
  }

  private static Verdict last(RatioBench bench, String... ratios) {
    Verdict last = null;
    for (int i = 0; i < ratios.length; i++) {
      List<Verdict> verdicts = bench.take("B/" + (i + 1), ratios[i]);
      assertEquals(i == 0 ? 0 : 1, verdicts.size());
      last = i == 0 ? null : verdicts.get(0);
    }
    if (last == null) {
      throw new AssertionError("give two ratios");
    }
    return last;
  }

  @Test
  void stepsAsOnThePlatePass() {
    RatioBench bench = bench();
    Verdict two = last(bench, "42.00", "41.01");
    // (-0.99 - -1) / 40 x 100 (derived)
    assertEquals(
        "HV-LV B: of 1 step the worst is from tap 1 to tap 2: -0.99, expected -1, off by +0.025 %"
            + " of the ratio on the principal tap (limit ±0.25 %): pass.",
        two.sentence().replace("-1.00000", "-1"));
    Verdict v = bench.judged("B/3", "39.99");
    assertEquals(
        "HV-LV B: of 2 steps the worst is from tap 2 to tap 3: -1.02, expected -1, off by -0.050 %"
            + " of the ratio on the principal tap (limit ±0.25 %): pass.",
        v.sentence().replace("-1.00000", "-1"));
    assertEquals("turns-ratio/HV-LV/B", v.subject());
    assertEquals(Optional.of(Samples.n("-1.02")), v.measured());
    assertEquals(0, v.expected().orElseThrow().compareTo(Samples.n("-1")));
    assertEquals(Optional.of(Samples.n("-0.050000")), v.deviation());
    assertEquals(Unit.ONE, v.unit());
    assertEquals(List.of("bay-2:e1:1:0", "bay-2:e1:2:0", "bay-2:e1:3:0"), v.readings());
    assertEquals(List.of(), v.findings());
    assertEquals("Go on.", v.next());
  }

  // limit 0.25 %, U 0.05 %; one step of -1 more or less 0.08 to 0.12 on 40
  @ParameterizedTest
  @CsvSource({
    "40.92,PASS",
    "40.919,CONDITIONAL_PASS",
    "41.1,CONDITIONAL_PASS",
    "41.101,CONDITIONAL_FAIL",
    "40.88,CONDITIONAL_FAIL",
    "40.879,FAIL"
  })
  void boundariesAreExact(String second, State state) {
    assertEquals(state, last(bench(), "42", second).state());
  }

  @Test
  void ofTwoThatAreEquallyFarOffTheFirstIsTold() {
    Verdict v = last(bench(), "42", "41.05", "40");
    assertTrue(v.sentence().contains("the worst is from tap 1 to tap 2"), v.sentence());
  }

  @Test
  void tapsThatWereNotMeasuredAreSteppedOver() {
    RatioBench bench = bench();
    assertEquals(List.of(), bench.take("B/5", "38"));
    Verdict v = bench.judged("B/1", "42.04");
    assertTrue(v.sentence().contains("from tap 1 to tap 5: -4.04"), v.sentence());
    assertEquals(Optional.of(Samples.n("-0.100000")), v.deviation());
    assertEquals(List.of(), bench.take("A/1", "42"));
  }

  @Test
  void exchangedTapsAreNamed() {
    Verdict v = last(bench(), "42", "41", "39", "40", "38");
    assertTrue(
        v.sentence().endsWith("(limit ±0.25 %): fail; taps 3 and 4 read like each other."),
        v.sentence());
    assertEquals(
        Finding.hint(
            "B",
            "Taps 3 and 4 read like each other: their leads are exchanged in the tap changer, or"
                + " the readings were booked to the wrong taps."),
        v.findings().get(1));
    assertEquals(
        "Switch the test voltage off. With the unit de-energised, move the tap changer through its"
            + " positions and see that its indicator follows; then take tap 3 and tap 4 again.",
        v.next());
  }

  @Test
  void aStepThatWasNotMadeIsNamed() {
    Verdict v = last(bench(), "42", "41", "41.02", "40");
    assertTrue(
        v.sentence().endsWith("; the tap changer seems not to have moved from tap 2 to tap 3."),
        v.sentence());
    assertEquals(
        "From tap 2 to tap 3 the ratio changes by 0.02 where the plate has -1.",
        v.findings().get(0).sentence().replace("-1.00000", "-1"));
    assertEquals(Finding.Kind.SEEN, v.findings().get(0).kind());
    assertTrue(v.findings().get(1).sentence().startsWith("Between tap 2 and tap 3 one step is"));
  }

  @Test
  void aStepThatWasMadeTwiceIsNamed() {
    Verdict v = last(bench(), "42", "41", "39", "38");
    assertTrue(
        v.sentence().endsWith("; one step too many was made from tap 2 to tap 3."), v.sentence());
    assertTrue(v.findings().get(1).sentence().contains("there is one step too many"));
  }

  // near to a tap is within a quarter of a step
  @ParameterizedTest
  @CsvSource({"39.24,true", "39.26,false", "38.76,true", "38.74,false"})
  void aRatioBetweenTwoTapsIsNoOtherTap(String third, boolean named) {
    Verdict v = last(bench(), "42", "41", third, "38");
    assertEquals(named, v.sentence().contains("one step too many"), v.sentence());
  }

  @Test
  void otherFaultsHaveAGeneralHint() {
    for (String[] ratios :
        List.of(
            new String[] {"42", "41.5"}, // between taps
            new String[] {"42", "39"}, // two taps too far
            new String[] {"42", "42", "40", "40"})) { // several mistakes
      Verdict v = last(bench(), ratios);
      assertTrue(v.sentence().endsWith("(limit ±0.25 %): fail."), v.sentence());
      assertTrue(
          v.findings().get(1).sentence().contains("compare the same step in the other phases"));
    }
  }

  @Test
  void everyTapOneOffHasGoodSteps() {
    assertEquals(State.PASS, last(bench(), "43.05", "42.025", "41", "39.975").state());
  }

  @Test
  void aTapWithoutANumberIsNamed() {
    RatioBench bench = bench();
    bench.take("B/1", Reading.Status.ABORTED, Samples.ratioValues("42", "4"));
    Verdict v = bench.judged("B/2", "0");
    assertEquals(State.UNDECIDED, v.state());
    assertEquals(
        "HV-LV B: steps between the taps not judged: on tap 1 the instrument calls its reading"
            + " aborted; on tap 2 the turns-ratio is 0 1, which is not above zero.",
        v.sentence());
    assertEquals("Take it again. Check the leads, and take it again.", v.next());
  }

  @Test
  void theOrderInWhichTapsAreTakenChangesNothing() {
    Random random = new Random(Samples.seed());
    for (int i = 0; i < 50; i++) {
      List<String> taps = new ArrayList<>(List.of("1", "2", "3", "4", "5"));
      RatioBench bench = bench();
      RatioBench other = bench();
      List<String> ratios = new ArrayList<>();
      taps.forEach(
          tap -> ratios.add(bench.off("B/" + tap, Double.toString(random.nextInt(80) / 100.0))));
      Verdict here = null;
      for (String tap : taps) {
        here =
            bench.take("B/" + tap, ratios.get(Integer.parseInt(tap) - 1)).stream()
                .findFirst()
                .orElse(null);
      }
      Collections.shuffle(taps, random);
      Verdict there = null;
      for (String tap : taps) {
        there =
            other.take("B/" + tap, ratios.get(Integer.parseInt(tap) - 1)).stream()
                .findFirst()
                .orElse(null);
      }
      assertEquals(
          Objects.requireNonNull(here).sentence(), Objects.requireNonNull(there).sentence());
      assertEquals(here.deviation(), there.deviation());
    }
  }

  @Test
  void twoTapChangersAreJudgedApart() {
    SamplePlate plate =
        new SamplePlate()
            .taps("10250", "10000", "9750")
            .taps(Side.HV, TapChanger.Kind.ON_LOAD, "10100", "10000", "9900");
    plate.group = "YNyn0";
    plate.lv = "250";
    RatioBench bench = new RatioBench(plate.plate(), STEPS);
    assertEquals(List.of(), bench.take("A/1/2", "41"));
    assertEquals(List.of(), bench.take("A/2/1", "40.4"));
    List<Verdict> both = bench.take("A/2/2", "40.2");
    assertEquals(2, both.size());
    assertEquals("turns-ratio/HV-LV/A/any/2", both.get(0).subject());
    assertEquals("turns-ratio/HV-LV/A/2/any", both.get(1).subject());
    assertTrue(
        both.get(0)
            .sentence()
            .startsWith(
                "HV-LV A tap any on-load tap 2: of 1 step the worst is"
                    + " from tap 1 to tap 2: -0.8, expected -1"),
        both.get(0).sentence());
    assertTrue(
        both.get(1)
            .sentence()
            .startsWith(
                "HV-LV A tap 2 on-load tap any: of 1 step the worst is"
                    + " from tap 1 to tap 2: -0.2, expected -0.4"),
        both.get(1).sentence());
    assertEquals(List.of("bay-2:e1:1:0", "bay-2:e1:3:0"), both.get(0).readings());
    assertEquals(1, bench.take("A/2/3", "39.6").size());
  }

  @Test
  void anLvTapChanger() {
    SamplePlate plate =
        new SamplePlate().taps(Side.LV, TapChanger.Kind.DE_ENERGISED, "200", "250", "400");
    plate.group = "YNyn0";
    plate.hv = "10000";
    RatioBench bench = new RatioBench(plate.plate(), STEPS);
    bench.take("C/1", "50");
    Verdict v = bench.judged("C/2", "40.04");
    assertEquals(Optional.of(Samples.n("0.100000")), v.deviation());
    assertTrue(bench.judged("C/3", "25").sentence().contains("from tap 1 to tap 2: -9.96"));
  }

  // taps 1, 2 and 3 read like 2, 3 and 5: a shift of one, and one step more
  @Test
  void aStepTooManyIsNamedWhereAllTapsAreOff() {
    Verdict v = last(bench(), "41", "40", "38");
    assertTrue(
        v.sentence().endsWith("; one step too many was made from tap 2 to tap 3."), v.sentence());
  }

  // steps of 2 and 0.4: near to a tap is within 0.1, so 39.7 is like none
  @Test
  void theSmallestStepSaysWhatIsNear() {
    SamplePlate plate = new SamplePlate().taps("10500", "10000", "9900");
    plate.group = "YNyn0";
    plate.lv = "250";
    RatioBench bench = new RatioBench(plate.plate(), STEPS);
    Verdict v = last(bench, "42", "39.7", "40.3");
    assertTrue(!v.sentence().contains("read like"), v.sentence());
  }

  @Test
  void stepsFollowTheOrderOfThePlate() {
    SamplePlate plate = new SamplePlate();
    plate.group = "YNyn0";
    plate.hv = "10000";
    plate.lv = "250";
    plate.tapChangers =
        List.of(
            new TapChanger(
                Side.HV,
                TapChanger.Kind.DE_ENERGISED,
                List.of(
                    new TapChanger.Tap(5, Samples.n("10250")),
                    new TapChanger.Tap(2, Samples.n("10000")),
                    new TapChanger.Tap(4, Samples.n("9750"))),
                2));
    RatioBench bench = new RatioBench(plate.plate(), STEPS);
    bench.take("A/2", "40");
    bench.take("A/4", "39");
    Verdict v = bench.judged("A/5", "41.04");
    assertTrue(v.sentence().contains("from tap 5 to tap 2: -1.04, expected -1"), v.sentence());
  }
}
