package org.tallywire.acceptance;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.ArrayList;
import java.util.List;
import java.util.stream.Collectors;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;
import org.tallywire.acceptance.Criterion.Kind;
import org.tallywire.acceptance.Nameplate.ResistanceReference;
import org.tallywire.acceptance.Verdict.State;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/**
 * What a person at the bench is told of faults whose readings are known: those of the ratio come
 * from the simulator (derived there from the physics of windings and core), the rest is circuit
 * theory.
 */
class BenchDiagnosisTest {

  private static final Criterion GROUP = RatioBench.criterion(Kind.WINDING_GROUP, "3", "0.1");
  private static final Criterion SPREAD = RatioBench.criterion(Kind.RATIO_SPREAD, "0.3", "0.1");
  private static final Criterion STEPS = RatioBench.criterion(Kind.RATIO_STEPS, "0.3", "0.1");

  private static RatioBench bench(Criterion criterion, String... taps) {
    return new RatioBench(new SamplePlate().taps(taps).plate(), criterion);
  }

  private static RatioBench bench(Criterion criterion) {
    return bench(criterion, "11550", "11275", "11000", "10725", "10450");
  }

  private static String all(Verdict v) {
    return v.sentence()
        + v.findings().stream().map(Finding::sentence).collect(Collectors.joining(" ", " ", " "))
        + v.next();
  }

  // one shorted LV turn in phase B
  @Test
  void oneOddPhaseIsNotCalledNearToATap() {
    RatioBench bench = bench(GROUP);
    bench.take("A/3", "44.0236", "0.02");
    bench.take("B/3", "57.8569", "-8.6");
    Verdict v = RatioBench.only(bench.take("C/3", "44.0235", "0.02"));
    assertEquals(State.FAIL, v.state());
    assertEquals(List.of(), v.findings());
    assertTrue(
        v.sentence()
            .endsWith(
                "fail. No single mistake and no other group explains the readings within 3 %; phases A"
                    + " and C read as the plate states, so look at phase B."),
        v.sentence());
  }

  @Test
  void noPhaseAtAllIsSaidToo() {
    RatioBench bench = bench(GROUP);
    bench.take("A/3", "33.1", "0.02");
    bench.take("B/3", "57.9", "0.02");
    Verdict v = RatioBench.only(bench.take("C/3", "61.3", "0.02"));
    assertEquals(List.of(), v.findings());
    assertTrue(v.sentence().endsWith("no phase reads as the plate states."), v.sentence());
  }

  // 3 % hold the taps on both sides of the right one too
  @ParameterizedTest
  @CsvSource({"41.8195,41.8069,41.8247,position 5", "46.2236,46.2034,46.2276,position 1"})
  void ofSeveralTapsTheNearestAloneIsNamed(String a, String b, String c, String tap) {
    RatioBench bench = bench(GROUP);
    bench.take("A/3", a, "0.02");
    bench.take("B/3", b, "0.02");
    Verdict v = RatioBench.only(bench.take("C/3", c, "0.02"));
    assertEquals(1, v.findings().size(), v.sentence());
    assertTrue(v.sentence().contains("with the tap changer on " + tap + ", not 3"), v.sentence());
    assertFalse(v.sentence().contains("equally"), v.sentence());
  }

  // as far apart above as below: nobody stands out
  @Test
  void threeThatAllDifferAreSaidTo() {
    RatioBench bench = bench(SPREAD);
    bench.take("A/3", "44.2013");
    bench.take("B/3", "44.4013");
    Verdict v = bench.judged("C/3", "44.6013");
    assertTrue(v.sentence().contains("no phase stands out alone"), v.sentence());
    assertEquals(1, v.findings().size());
    assertTrue(v.findings().get(0).sentence().startsWith("All three phases differ"), all(v));
  }

  // LV leads of A and C exchanged: B is the one that is right
  @Test
  void thePhaseThatIsRightIsNotBlamed() {
    RatioBench bench = bench(SPREAD);
    bench.take("A/3", "140.084");
    bench.take("B/3", "44.0040");
    Verdict v = bench.judged("C/3", "139.700");
    assertTrue(v.sentence().endsWith("fail; only phase B is as the plate says."), v.sentence());
    assertFalse(all(v).contains("shorted"), all(v));
    assertEquals(
        "Switch the test voltage off, check all leads and that the tap changer stands still, and"
            + " take the three phases again.",
        v.next());
  }

  @Test
  void onePhaseOutIsBlamedAsBefore() {
    RatioBench bench = bench(SPREAD);
    bench.take("A/3", "44.0040");
    bench.take("B/3", "44.4500");
    Verdict v = bench.judged("C/3", "44.0030");
    assertTrue(v.sentence().endsWith("fail; phase B stands out."), v.sentence());
  }

  // a shorted LV turn makes all ratios of its phase high alike, and the steps between them too
  @Test
  void stepsThatAreOffWithTheirRatiosAreNoFaultOfTheTapChanger() {
    RatioBench bench = bench(STEPS);
    bench.take("B/1", "60.7091");
    bench.take("B/2", "59.2819");
    Verdict v = RatioBench.only(bench.take("B/3", "57.8569"));
    assertEquals(State.FAIL, v.state());
    assertTrue(v.sentence().endsWith("; every tap is off in the same proportion."), v.sentence());
    assertEquals(
        "Switch the test voltage off, check the leads on 1V-1W / 2v-2n, and do first what the"
            + " verdict on the ratio says.",
        v.next());
  }

  @Test
  void aStepThatIsMissingIsOneOfTheTapChanger() {
    RatioBench bench = bench(STEPS);
    bench.take("B/1", "46.2014");
    Verdict v = RatioBench.only(bench.take("B/2", "46.2010"));
    assertTrue(v.next().contains("see that its indicator follows"), v.next());
    assertFalse(v.sentence().contains("proportion"), v.sentence());
  }

  // the contact of phase B one position too far: like the next tap everywhere, A right
  @Test
  void onePhaseOnePositionOffIsNamedBesideShortedTurns() {
    RatioBench bench = bench(Samples.ratioDeviation("0.5", true));
    bench.take("A/1", "46.2196");
    bench.take("B/1", "45.1096");
    bench.take("A/2", "45.1186");
    Verdict v = bench.judged("B/2", "44.0090");
    assertTrue(
        v.sentence().contains("this phase alone, like tap 3, and off alike on every tap so far"),
        v.sentence());
    assertTrue(v.findings().get(0).sentence().contains("another position"), all(v));
    assertTrue(v.findings().get(0).sentence().contains("shorted turns in HV B"), all(v));
    assertTrue(v.next().contains("With the unit de-energised"), v.next());
    assertTrue(v.next().contains("do not put the unit into service"), v.next());
  }

  // 33 times the others: no magnetised core does that (practice)
  @ParameterizedTest
  @ValueSource(strings = {"158.042", "9.5"})
  void aCurrentFarAboveTheOthersIsNotPutDownToMagnetism(String high) {
    Nameplate plate = Samples.dyn11();
    Verdict v =
        Samples.judged(
            plate, Samples.excitation(plate, 3, "4.745", high, "4.746"), "excitation-pattern");
    assertEquals(State.FAIL, v.state());
    assertEquals(1, v.findings().size(), all(v));
    assertFalse(all(v).contains("magnetise"), all(v));
    assertTrue(v.next().contains("do not put the unit into service"), v.next());
    assertTrue(v.next().contains("leads of phase B"), v.next());
  }

  private static Verdict unbalance(String group, String side, String... ohms) {
    SamplePlate plate = new SamplePlate().taps("11550", "11275", "11000", "10725", "10450");
    plate.group = group;
    Nameplate name = plate.plate();
    TestPlan plan = TestPlan.of(name);
    List<BookedReading> three = new ArrayList<>();
    for (int i = 0; i < 3; i++) {
      String tap = side.equals("HV") ? "/3" : "";
      Step step = Samples.step(plan, "winding-resistance/" + side + "/" + Step.PHASES.get(i) + tap);
      three.add(Samples.booked(step, 1000 + i, Samples.resistanceValues(ohms[i], "75")));
    }
    return Samples.judged(name, three, "resistance-unbalance");
  }

  // 8 % more in the phase of 1U of a star: two readings of three are high by 4 % (derived)
  @Test
  void aBadJointInAStarIsNotCalledShortedTurnsElsewhere() {
    String hint = unbalance("Yzn11", "HV", "2.08", "2.00", "2.08").findings().get(0).sentence();
    assertTrue(hint.startsWith("Phase B is 3.846 % below"), hint);
    assertTrue(
        hint.contains(
            "a bad joint, a worn tap contact or a loose lead at 1U or in its phase, which the other"
                + " two share"),
        hint);
  }

  // 8 % less in the phase of 1V of a star: two readings low (derived)
  @Test
  void shortedTurnsInAStarAreSoughtInThePhaseThatTwoReadingsShare() {
    String hint = unbalance("Yzn11", "HV", "1.92", "1.92", "2.00").findings().get(0).sentence();
    assertTrue(hint.contains("shorted turns in the phase of 1V"), hint);
  }

  // in a delta one bad winding shows above all in its own reading
  @Test
  void aBadJointInADeltaIsSoughtWhereTheReadingIsHigh() {
    String hint = unbalance("Dyn11", "HV", "2.00", "2.10", "2.00").findings().get(0).sentence();
    assertTrue(
        hint.contains("It may be a bad joint, a worn tap contact or a loose lead: with"), hint);
    hint = unbalance("Dyn11", "HV", "2.10", "2.00", "2.10").findings().get(0).sentence();
    assertTrue(hint.contains("a loose lead at 1U, which the other two share"), hint);
    assertTrue(hint.contains("or shorted turns in this one"), hint);
  }

  // the clip is off the LV neutral: no voltage to divide by
  @Test
  void aRatioOverRangeSendsToTheLeads() {
    RatioBench bench = bench(Samples.ratioDeviation("0.5", true));
    Verdict v =
        RatioBench.only(
            bench.take(
                "A/3",
                Reading.Status.OK,
                new Value.Missing(Quantity.TURNS_RATIO, Unit.ONE, Value.Reason.OVER_RANGE)));
    assertEquals(State.UNDECIDED, v.state());
    assertTrue(v.next().contains("that of a neutral too, makes contact"), v.next());
    assertTrue(v.next().startsWith("Switch the test voltage off"), v.next());
  }

  // LV has no taps
  @Test
  void aWindingWithoutTapsIsNotSentToTheTapChanger() {
    Verdict v = unbalance("Dyn11", "LV", "0.00290", "0.00290", "0.00311");
    assertTrue(v.findings().get(0).sentence().contains("a bad joint or a loose lead"), all(v));
    assertFalse(all(v).contains("tap "), all(v));
    v = unbalance("Dyn11", "LV", "0.00290", "0.00290", "0.00269");
    assertTrue(v.findings().get(0).sentence().contains("shorted turns"), all(v));
  }

  @ParameterizedTest
  @CsvSource({"LV,0.00311,false", "LV,0.00270,false", "HV,5.6,true", "HV,4.9,true"})
  void aDeviationSpeaksOfTapsOnlyWhereThereAreSome(String side, String ohms, boolean taps) {
    SamplePlate plate = new SamplePlate().taps("11550", "11275", "11000", "10725", "10450");
    plate.references =
        List.of(
            new ResistanceReference("HV", "A", Samples.n("5.228")),
            new ResistanceReference("LV", "A", Samples.n("0.0029")));
    Nameplate name = plate.plate();
    Step step =
        Samples.step(name, "winding-resistance/" + side + "/A" + (side.equals("HV") ? "/3" : ""));
    Verdict v =
        Samples.judged(
            name,
            List.of(Samples.booked(step, 1, Samples.resistanceValues(ohms, "75"))),
            "resistance-deviation");
    assertEquals(State.FAIL, v.state());
    String said = v.findings().get(0).sentence() + v.next();
    assertEquals(taps, said.contains("another tap position"), said);
    assertEquals(
        taps, said.contains("tap position and temperature") || said.contains("tap "), said);
  }
}
