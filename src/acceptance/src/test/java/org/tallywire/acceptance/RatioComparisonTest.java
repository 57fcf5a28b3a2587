package org.tallywire.acceptance;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.util.ArrayList;
import java.util.Collections;
import java.util.List;
import java.util.Optional;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.tallywire.acceptance.Criterion.Kind;
import org.tallywire.acceptance.Verdict.State;
import org.tallywire.acceptance.figure.Percent;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/** Ratios beside those of the other phases and beside earlier ones. */
class RatioComparisonTest {

  private static final Criterion SPREAD = RatioBench.criterion(Kind.RATIO_SPREAD, "0.5", "0.1");
  private static final Criterion CHANGE = RatioBench.criterion(Kind.RATIO_CHANGE, "0.2", "0.05");

  private static RatioBench spreadBench() {
    return new RatioBench(Samples.dyn11(), SPREAD);
  }

  private static Verdict spread(RatioBench bench, String a, String b, String c) {
    assertEquals(List.of(), bench.take("A/3", a));
    assertEquals(List.of(), bench.take("B/3", b));
    return bench.judged("C/3", c);
  }

  @Test
  void phasesAlikePass() {
    Verdict v = spread(spreadBench(), "44.01", "44.00", "43.99");
    // (44.01 - 43.99) / 44.00 x 100 (derived)
    assertEquals(
        "HV-LV tap 3: ratios A 44.01, B 44.00, C 43.99; highest and lowest differ by 0.045 % of the"
            + " mean (limit 0.5 %): pass.",
        v.sentence());
    assertEquals(Optional.of(Samples.n("0.045455")), v.deviation());
    assertEquals(Optional.of(Samples.n("44.01")), v.measured());
    assertEquals(Optional.of(Samples.n("43.99")), v.expected());
    assertEquals("turns-ratio/HV-LV/3", v.subject());
    assertEquals(Unit.ONE, v.unit());
    assertEquals(List.of("bay-2:e1:1:0", "bay-2:e1:2:0", "bay-2:e1:3:0"), v.readings());
    assertEquals(List.of(), v.findings());
    assertEquals("Go on.", v.next());
  }

  // limit 0.5 %, U 0.1 %: 40 x (1 ± x) with mean 40
  @ParameterizedTest
  @CsvSource({
    "40.08,39.92,PASS",
    "40.0801,39.9199,CONDITIONAL_PASS",
    "40.1,39.9,CONDITIONAL_PASS",
    "40.1001,39.8999,CONDITIONAL_FAIL",
    "40.12,39.88,CONDITIONAL_FAIL",
    "40.1201,39.8799,FAIL"
  })
  void boundariesAreExact(String high, String low, State state) {
    Verdict v = spread(spreadBench(), high, "40", low);
    assertEquals(state, v.state(), v.sentence());
    assertTrue(state != State.FAIL || v.sentence().endsWith("no phase stands out alone."));
  }

  @Test
  void thePhaseThatStandsOutIsNamed() {
    Verdict v = spread(spreadBench(), "44.00", "44.40", "44.02");
    assertEquals(
        "HV-LV tap 3: ratios A 44.00, B 44.40, C 44.02; highest and lowest differ by 0.906 % of the"
            + " mean (limit 0.5 %): fail; phase B stands out.",
        v.sentence());
    // (44.40 - 44.01) / 44.01 x 100 (derived)
    assertEquals(
        List.of(
            Finding.seen("B", "Phase B is 0.886162 % above the mean of the other two."),
            Finding.hint(
                "B",
                "A ratio that is high in one phase alone may be shorted turns in LV B, a contact of"
                    + " the tap changer, or leads on the wrong terminals.")),
        v.findings());
    assertEquals(
        "Switch the test voltage off, check the leads on 1V-1W / 2v-2n, and take phase B again.",
        v.next());
    Verdict low = spread(spreadBench(), "43.00", "44.00", "44.02");
    assertTrue(low.sentence().endsWith("; phase A stands out."), low.sentence());
    assertTrue(low.findings().get(0).sentence().endsWith("below the mean of the other two."));
    assertTrue(low.findings().get(1).sentence().contains("is low in one phase alone"));
    assertTrue(low.findings().get(1).sentence().contains("shorted turns in HV A"));
  }

  @Test
  void threeThatAllDifferHaveNoneThatStandsOut() {
    Verdict v = spread(spreadBench(), "43.5", "44.0", "44.5");
    assertEquals("all", v.findings().get(0).phase());
    assertEquals(1, v.findings().size());
    assertTrue(v.next().contains("take the three phases again"), v.next());
  }

  @Test
  void aLaterReadingIsComparedAgain() {
    RatioBench bench = spreadBench();
    assertEquals(State.FAIL, spread(bench, "44.00", "44.40", "44.02").state());
    assertEquals(State.PASS, bench.judged("B/3", "44.01").state());
    assertEquals(List.of(), bench.take("A/2", "45.1"));
  }

  @Test
  void aPhaseWithoutANumberIsNamed() {
    RatioBench bench = spreadBench();
    bench.take("A/3", Reading.Status.SUSPECT, Samples.ratioValues("44", "4"));
    bench.take("B/3", "-44");
    Verdict v = bench.judged("C/3", "44");
    assertEquals(State.UNDECIDED, v.state());
    assertEquals(
        "HV-LV tap 3: ratios of the phases not judged: in phase A the instrument calls its reading"
            + " suspect; in phase B the turns-ratio is -44 1, which is not above zero.",
        v.sentence());
  }

  @Test
  void aSinglePhaseUnitHasNothingToCompare() {
    SamplePlate plate = new SamplePlate();
    plate.group = "Ii0";
    plate.core = CoreForm.SINGLE_PHASE;
    assertEquals(List.of(), new RatioBench(plate.plate(), SPREAD).take("A/1", "25.4"));
  }

  @Test
  void permutationAndScaleChangeNothing() {
    Random random = new Random(Samples.seed());
    for (int i = 0; i < Rounds.of(200); i++) {
      List<String> three = new ArrayList<>();
      List<String> scaled = new ArrayList<>();
      BigDecimal scale = BigDecimal.valueOf(1 + random.nextInt(999), random.nextInt(4));
      for (int p = 0; p < 3; p++) {
        String ratio = BigDecimal.valueOf(43_900 + random.nextInt(400), 3).toPlainString();
        three.add(ratio);
        scaled.add(Samples.n(ratio).multiply(scale).toPlainString());
      }
      Verdict here = spread(spreadBench(), three.get(0), three.get(1), three.get(2));
      Verdict there = spread(spreadBench(), scaled.get(0), scaled.get(1), scaled.get(2));
      Collections.shuffle(three, random);
      Verdict other = spread(spreadBench(), three.get(0), three.get(1), three.get(2));
      assertEquals(here.state(), other.state());
      assertEquals(here.deviation(), other.deviation());
      assertEquals(here.measured(), other.measured());
      assertEquals(here.state(), there.state());
      assertEquals(here.deviation(), there.deviation());
    }
  }

  private static RatioBench changeBench() {
    SamplePlate plate = new SamplePlate().taps("11550", "11275", "11000", "10725", "10450");
    plate.earlierRatios.put("turns-ratio/HV-LV/A/3", Samples.n("40"));
    plate.earlierRatios.put("turns-ratio/HV-LV/A/2", Samples.n("41"));
    plate.earlierRatios.put("turns-ratio/HV-LV/B/2", Samples.n("39"));
    return new RatioBench(plate.plate(), CHANGE);
  }

  // limit 0.2 %, U 0.05 %, earlier 40
  @ParameterizedTest
  @CsvSource({
    "40.06,PASS",
    "40.0601,CONDITIONAL_PASS",
    "39.92,CONDITIONAL_PASS",
    "39.9199,CONDITIONAL_FAIL",
    "39.90,CONDITIONAL_FAIL",
    "39.8999,FAIL"
  })
  void aChangeIsHeldAgainstTheEarlierRatio(String measured, State state) {
    assertEquals(state, changeBench().judged("A/3", measured).state());
  }

  @Test
  void aChangeReadsWell() {
    Verdict v = changeBench().judged("A/3", "40.02");
    assertEquals(
        "HV-LV A tap 3: ratio 40.02 is +0.050 % from the earlier 40 (limit ±0.2 %): pass.",
        v.sentence());
    assertEquals(Optional.of(Samples.n("0.050000")), v.deviation());
    assertEquals(Optional.of(Samples.n("40")), v.expected());
    assertEquals(List.of(), v.findings());
    Verdict high = changeBench().judged("A/3", "40.5");
    assertEquals(
        "Since the earlier test the ratio of phase A has become higher: it may be turns shorted in"
            + " LV, leads on other terminals, or another tap position.",
        high.findings().get(0).sentence());
    assertEquals(
        "Switch the test voltage off, check the leads on 1U-1V / 2u-2n and, with the unit"
            + " de-energised, the tap position, and take it again.",
        high.next());
    assertTrue(
        changeBench()
            .judged("A/3", "39")
            .findings()
            .get(0)
            .sentence()
            .contains("has become lower: it may be turns shorted in HV"));
  }

  @Test
  void theEarlierRatioMayBeTheWrongOne() {
    Verdict v = changeBench().judged("A/3", "44.00");
    // 40 from 44.001290723 (derived)
    assertEquals(
        Finding.seen(
            "A",
            "The earlier ratio is -9.09358 % from the 44.0013 that the plate promises, and today's"
                + " is not: doubt the earlier one."),
        v.findings().get(0));
  }

  @Test
  void aRatioOfAnEarlierTapIsNamed() {
    assertEquals(
        "Phase A reads like tap 2 of the earlier test: look at which position the tap changer"
            + " really is on, now and then.",
        changeBench().judged("A/3", "41.01").findings().get(0).sentence());
  }

  @Test
  void withoutAnEarlierRatioOrANumberNothingIsJudged() {
    assertEquals(List.of(), changeBench().take("C/3", "44"));
    Verdict v =
        RatioBench.only(
            changeBench()
                .take(
                    "A/3",
                    Reading.Status.OK,
                    new Value.Missing(Quantity.TURNS_RATIO, Unit.ONE, Value.Reason.OPEN)));
    assertEquals(
        "HV-LV A tap 3: change of the ratio not judged: the instrument gives open for turns-ratio.",
        v.sentence());
    assertEquals(State.UNDECIDED, changeBench().judged("A/3", "0").state());
  }

  // HV and LV exchanged: reciprocals deviate as 1 / (1 + x) - 1
  @Test
  void reciprocalsHaveReciprocalDeviations() {
    Random random = new Random(Samples.seed());
    for (int i = 0; i < Rounds.of(200); i++) {
      BigDecimal e = BigDecimal.valueOf(1 + random.nextInt(99_999), 3);
      BigDecimal m = BigDecimal.valueOf(1 + random.nextInt(99_999), 3);
      BigDecimal there =
          BigDecimal.ONE
              .add(Percent.off(m, e).movePointLeft(2))
              .multiply(BigDecimal.ONE.add(Percent.off(e, m).movePointLeft(2)));
      assertTrue(
          there.subtract(BigDecimal.ONE).abs().compareTo(Samples.n("1e-20")) < 0,
          () -> "off by " + there);
    }
  }

  // phases of which a plan promises 40, 20 and 10: of that 0, 0 and 1 %, and 1 / 100.333 (derived)
  @Test
  void ratiosAreComparedByWhatIsExpectedOfEach() {
    Examiner examiner = new Examiner("set-1", Samples.dyn11(), Samples.table(SPREAD));
    List<BookedReading> three = new ArrayList<>();
    List<String> expected = List.of("40", "20", "10");
    List<String> ratios = List.of("40.0", "20.0", "10.1");
    for (int i = 0; i < 3; i++) {
      Step usual = Samples.step(Samples.dyn11(), "turns-ratio/HV-LV/" + "ABC".charAt(i) + "/3");
      Step step =
          new Step(
              usual.id(),
              usual.test(),
              usual.windings(),
              usual.phase(),
              usual.tap(),
              usual.terminals(),
              Optional.of(Samples.n(expected.get(i))),
              usual.unit());
      three.add(
          Samples.booked(step, i, Samples.value(Quantity.TURNS_RATIO, ratios.get(i), Unit.ONE)));
    }
    Verdict v = RatioBench.only(Samples.examine(examiner, three.get(2), three.subList(0, 2)));
    assertEquals(Optional.of(Samples.n("0.996678")), v.deviation());
    assertEquals(Optional.of(Samples.n("10.1")), v.measured());
    assertTrue(v.sentence().endsWith("phase C stands out."), v.sentence());
  }
}
