package org.tallywire.acceptance;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

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
import org.tallywire.api.Value;

/** Which connection the readings of a tap fit. */
class GroupTest {

  private static final Criterion GROUP = RatioBench.criterion(Kind.WINDING_GROUP, "3", "0.2");

  private static RatioBench bench(String group) {
    SamplePlate plate = new SamplePlate().taps("11550", "11275", "11000", "10725", "10450");
    plate.group = group;
    return new RatioBench(plate.plate(), GROUP);
  }

  private static Verdict three(RatioBench bench, String... ratiosAndDegrees) {
    List<Verdict> last = List.of();
    for (int i = 0; i < 3; i++) {
      assertEquals(List.of(), last);
      last =
          bench.take(
              Step.PHASES.get(i) + "/3", ratiosAndDegrees[2 * i], ratiosAndDegrees[2 * i + 1]);
    }
    return RatioBench.only(last);
  }

  @Test
  void readingsThatFitThePlate() {
    Verdict v = three(bench("Dyn11"), "44.00", "0.1", "44.05", "0.1", "43.95", "0.1");
    // (43.95 - 44.001290723) / 44.001290723 x 100 = -0.116566 (derived)
    assertEquals(
        "HV-LV tap 3: the readings fit Dyn11; the farthest off is phase C with -0.117 % (limit ±3"
            + " %): pass.",
        v.sentence());
    assertEquals(Optional.of(Samples.n("-0.116566")), v.deviation());
    assertEquals(Optional.of(Samples.n("43.95")), v.measured());
    assertEquals(Optional.of(Samples.n("44.001291")), v.expected());
    assertEquals("turns-ratio/HV-LV/3", v.subject());
    assertEquals(3, v.readings().size());
    assertEquals(List.of(), v.findings());
    assertEquals("Go on.", v.next());
  }

  // limit 3 %, U 0.2 %; expected exactly 40
  @ParameterizedTest
  @CsvSource({
    "41.12,PASS",
    "41.1201,CONDITIONAL_PASS",
    "38.80,CONDITIONAL_PASS",
    "38.7999,CONDITIONAL_FAIL",
    "41.28,CONDITIONAL_FAIL",
    "41.2801,FAIL"
  })
  void boundariesAreExact(String ratio, State state) {
    SamplePlate plate = new SamplePlate();
    plate.group = "YNyn0";
    plate.hv = "10000";
    plate.lv = "250";
    RatioBench bench = new RatioBench(plate.plate(), GROUP);
    bench.take("A/1", "40", "0");
    bench.take("B/1", ratio, "0");
    assertEquals(state, RatioBench.only(bench.take("C/1", "40", "0")).state());
  }

  @Test
  void aLvSideInOppositionIsFound() {
    Verdict v = three(bench("Dyn11"), "44.00", "180", "44.00", "-179.9", "44.00", "180");
    assertEquals(State.FAIL, v.state());
    // -44.00 is 200 % below 44.00 (derived)
    assertEquals(Samples.n("-199.997067"), v.deviation().orElseThrow());
    assertEquals(Optional.of(Samples.n("-44.00")), v.measured());
    assertTrue(
        v.sentence()
            .startsWith(
                "HV-LV tap 3: the readings do not fit Dyn11; the farthest off is phase A, in opposition"
                    + " and so counted as negative, with -199.997 % (limit ±3 %): fail. "),
        v.sentence());
    assertTrue(v.sentence().contains("Dyn5"), v.sentence());
    assertTrue(v.next().contains("Switch the test voltage off"), v.next());
    assertTrue(v.findings().stream().allMatch(f -> f.kind() == Finding.Kind.HINT));
    assertTrue(v.findings().stream().allMatch(f -> f.phase().equals("all")));
  }

  @Test
  void aNegativeRatioSaysOppositionByItself() {
    RatioBench bench = bench("Dyn11");
    bench.take("A/3", "-44.00");
    bench.take("B/3", "-44.00");
    Verdict v = bench.judged("C/3", "-44.00");
    assertEquals(State.FAIL, v.state());
    assertTrue(v.sentence().contains("Dyn5"), v.sentence());
  }

  @Test
  void halfATurnFromAnEarlyHourIsALaterOne() {
    RatioBench bench = bench("Dyn1");
    bench.take("A/3", "44.00");
    bench.take("B/3", "44.00");
    Verdict v = bench.judged("C/3", "44.00");
    assertTrue(v.findings().get(0).sentence().contains("so that Dyn7 could"), v.toString());
  }

  @Test
  void withoutDisplacementHalfATurnIsNotTold() {
    RatioBench bench = bench("Dyn11");
    bench.take("A/3", "44.00", "0");
    bench.take("B/3", "44.00");
    Verdict v = bench.judged("C/3", "44.00");
    assertEquals(State.PASS, v.state());
    assertEquals(
        List.of(
            Finding.seen(
                "all",
                "Not every reading says whether the pair is in phase or in opposition, so that Dyn5"
                    + " could read alike.")),
        v.findings());
  }

  // between 45 and 135 degrees an angle shows no sense; beyond a full turn neither
  @ParameterizedTest
  @ValueSource(strings = {"90", "720.5", "1e100"})
  void anAngleThatShowsNoSense(String degrees) {
    Verdict v = three(bench("Dyn11"), "44.00", "0", "44.00", degrees, "44.00", "0");
    assertEquals(1, v.findings().size(), v.toString());
  }

  private static void assertEnds(Verdict v, String finding, String next) {
    assertEquals(State.FAIL, v.state());
    assertTrue(v.sentence().endsWith(finding), v.sentence());
    assertEquals(next, v.next());
  }

  private static List<String> texts(Verdict v) {
    return v.findings().stream().map(Finding::sentence).toList();
  }

  // Yd1 by the plate reads 25.404 x √3 / 2 = 22.0006 (derived); of a unit that is no Yd1, nor one
  // with a single mistake, each pair reads the ratio of the lines
  @Test
  void anotherGroupIsFoundAndNamed() {
    Verdict v = three(bench("Yd1"), "25.404", "0", "25.404", "0", "25.404", "0");
    assertEquals(State.FAIL, v.state());
    assertTrue(
        v.sentence().contains("fail. The readings fit Yy0, not Yd1 as the plate states. They fit"),
        v.sentence());
    assertTrue(
        v.sentence().endsWith(" A reading of 1V-(1W+1U) / 2u-2v, with its sense, would tell more."),
        v.sentence());
    assertEquals(10, v.findings().size());
    assertTrue(
        texts(v).stream().allMatch(t -> t.contains("not Yd1 as the plate states.")), v.toString());
    assertEquals(
        "Switch the test voltage off, connect 1V-(1W+1U) / 2u-2v, and measure with its phase"
            + " displacement: it tells these apart.",
        v.next());
  }

  // on a Dyn1 unit no pair of the Dyn11 plan is decided by the connection: 88.0 is half the voltage
  @Test
  void aGroupThatTheReadingsDoNotDecideIsNotNamed() {
    RatioBench dyn1 = bench("Dyn1");
    assertEquals(State.PASS, three(dyn1, "44.00", "0", "44.00", "0", "44.00", "0").state());
    Verdict v = three(bench("Dyn11"), "88.0", "180", "88.0", "180", "88.0", "180");
    assertEquals(State.FAIL, v.state());
    assertTrue(v.sentence().contains("fail. No single mistake and no other group"), v.sentence());
    assertTrue(v.next().startsWith("Switch the test voltage off, check every lead"), v.next());
  }

  // HV 1U for 1V: phase C of Yd1 reads its own ratio, the others twice that, turned round (derived)
  @Test
  void swappedLeadsAreFound() {
    Verdict v = three(bench("Yd1"), "44.001", "180", "44.001", "180", "22.0005", "0");
    assertEnds(
        v,
        "fail. The readings fit Yd1 with the HV leads 1U and 1V swapped.",
        "Switch the test voltage off, put the leads right, and take all phases again.");
    assertEquals(
        List.of("The readings fit Yd1 with the HV leads 1U and 1V swapped."),
        texts(v),
        v.toString());
  }

  // tied HV terminals are read with three limbs only, so no reading tells the two neutrals apart
  @Test
  void theCoreIsMinded() {
    SamplePlate plate = new SamplePlate().taps("11550", "11275", "11000", "10725", "10450");
    plate.group = "YNyn0";
    plate.core = CoreForm.FIVE_LIMB;
    Verdict v = three(new RatioBench(plate.plate(), GROUP), "0", "0", "0", "0", "0", "0");
    assertEquals(
        "Switch the test voltage off, check the lead to the neutral and the neutral itself, and take"
            + " all phases again.",
        v.next());
  }

  // leads moved on by one phase can be so on either side and in either sense: a reading decides
  @Test
  void aReadingTellsEquallyLikelyMistakesApart() {
    Verdict v = three(bench("Yd1"), "44.001", "180", "44.001", "180", "44.001", "180");
    assertEnds(
        v,
        " A reading of 1V-(1W+1U) / 2u-2v, with its sense, would tell more. A unit of group Yd5 reads"
            + " so too: look at its plate again.",
        "Switch the test voltage off, connect 1V-(1W+1U) / 2u-2v, and measure with its phase"
            + " displacement: it tells these apart.");
    assertEquals(4, v.findings().size(), v.toString());
    assertTrue(
        texts(v).stream().allMatch(t -> t.contains("leads moved on by one phase")), v.toString());
  }

  @Test
  void aMissingNeutralIsFound() {
    Verdict v = three(bench("Dyn11"), "0", "0", "0", "0", "0", "0");
    assertEnds(
        v,
        "fail. The readings fit Dyn11 with the lead of the LV neutral not connected.",
        "Switch the test voltage off, check the lead to the neutral and the neutral itself, and take"
            + " all phases again.");
  }

  @Test
  void ofTwoNeutralsAReadingTellsWhichIsMissing() {
    Verdict v = three(bench("YNyn0"), "0", "0", "0", "0", "0", "0");
    assertEquals(
        List.of(
            "The readings fit YNyn0 with the lead of the HV neutral not connected.",
            "The readings fit YNyn0 with the lead of the LV neutral not connected."),
        texts(v));
    assertTrue(
        v.next().startsWith("Switch the test voltage off, connect 1U-(1V+1W) / 2u-2n, "), v.next());
  }

  // 44.0013 / √3 = 25.4042 (derived)
  @Test
  void aLineTakenForAPhaseIsFound() {
    assertEnds(
        three(bench("Dyn11"), "25.404", "0", "25.404", "0", "25.404", "0"),
        "fail. The readings fit Dyn11 with LV taken from line to line instead of line to neutral.",
        "Switch the test voltage off, put the leads right, and take all phases again.");
  }

  @Test
  void aReversedWindingIsFound() {
    Verdict v = three(bench("Dyn11"), "44.00", "0", "44.00", "180", "44.00", "0");
    assertEnds(
        v,
        "fail. The readings fit Dyn11 with the HV winding 1V-1W reversed inside. They fit equally"
            + " Dyn11 with the LV winding 2v-2n reversed inside. No other reading tells these apart:"
            + " follow the leads by eye.",
        "Switch the test voltage off and check the leads; if they are right, do not put the unit"
            + " into service before its connections have been looked at.");
    assertEquals(2, v.findings().size());
  }

  // tap 1 in phase B alone: 44.0013 x 12100 / 11000 = 48.4014 (derived)
  @Test
  void anotherTapOnOnePhaseIsFound() {
    SamplePlate plate = new SamplePlate().taps("12100", "11000", "9900");
    RatioBench bench = new RatioBench(plate.plate(), GROUP);
    bench.take("A/2", "44.001", "0");
    bench.take("B/2", "48.401", "0");
    assertEnds(
        RatioBench.only(bench.take("C/2", "44.001", "0")),
        "position 1, not 2, in the HV winding 1V-1W alone.",
        "Switch the test voltage off. With the unit de-energised, look at which position the tap"
            + " changer is on in every phase, and take all phases again.");
  }

  @Test
  void anotherTapOnAllPhasesIsFound() {
    SamplePlate plate = new SamplePlate().taps("12100", "11000", "9900");
    RatioBench bench = new RatioBench(plate.plate(), GROUP);
    bench.take("A/2", "48.40", "0");
    bench.take("B/2", "48.41", "0");
    Verdict v = RatioBench.only(bench.take("C/2", "48.40", "0"));
    assertTrue(v.sentence().contains("position 1, not 2"), v.sentence());
    assertEquals(
        "Switch the test voltage off. With the unit de-energised, look at which position the tap"
            + " changer is on in every phase, and take all phases again.",
        v.next());
  }

  @Test
  void noneFits() {
    Verdict v = three(bench("Dyn11"), "57", "0", "31", "0", "49", "0");
    assertTrue(v.sentence().contains("No single mistake"), v.sentence());
    assertEquals(
        "Switch the test voltage off, check every lead against the plan and, with the unit"
            + " de-energised, the tap position, and take all phases again.",
        v.next());
  }

  @Test
  void zeroIsAnObservationToo() {
    Verdict v = three(bench("Dyn11"), "44", "0", "0", "0", "44", "0");
    assertEquals(State.FAIL, v.state());
    assertEquals(Optional.of(Samples.n("-100.000000")), v.deviation());
  }

  @Test
  void aPhaseWithoutANumberIsNamed() {
    RatioBench bench = bench("Dyn11");
    bench.take("A/3", "44", "0");
    bench.take(
        "B/3",
        Reading.Status.OK,
        new Value.Missing(Quantity.TURNS_RATIO, Unit.ONE, Value.Reason.OPEN));
    Verdict v = RatioBench.only(bench.take("C/3", "44", "0"));
    assertEquals(State.UNDECIDED, v.state());
    assertEquals(
        "HV-LV tap 3: winding group not judged: in phase B the instrument gives open for"
            + " turns-ratio.",
        v.sentence());
  }

  @ParameterizedTest
  @CsvSource({"0.1,PASS,fit", "180,FAIL,do not fit"})
  void aSinglePhaseUnit(String degrees, State state, String verb) {
    SamplePlate plate = new SamplePlate();
    plate.group = "Ii0";
    plate.core = CoreForm.SINGLE_PHASE;
    RatioBench bench = new RatioBench(plate.plate(), GROUP);
    Verdict v = RatioBench.only(bench.take("A/1", "25.40", degrees));
    assertEquals(state, v.state());
    assertTrue(v.sentence().contains("the readings " + verb + " Ii0;"), v.sentence());
  }

  @Test
  void theBasisOfTheRatioIsMinded() {
    SamplePlate plate = new SamplePlate();
    plate.group = "Dyn11";
    RatioBench bench = new RatioBench(plate.plate(), RatioBasis.LINE, GROUP);
    bench.take("A/1", "25.40", "180");
    bench.take("B/1", "25.40", "180");
    Verdict v = RatioBench.only(bench.take("C/1", "25.40", "180"));
    assertTrue(v.sentence().contains("Dyn5"), v.sentence());
  }

  @Test
  void ofTwoTapChangersTheOneThatMayStandElsewhere() {
    SamplePlate plate =
        new SamplePlate()
            .taps("12100", "11000", "9900")
            .taps(Side.HV, TapChanger.Kind.ON_LOAD, "11880", "11000", "10120");
    RatioBench bench = new RatioBench(plate.plate(), GROUP);
    for (String phase : List.of("A", "B")) {
      bench.take(phase + "/2/2", bench.off("A/2/1", "0"), "0");
      bench.take(phase + "/1/2", bench.off("A/2/2", "0"), "0");
    }
    Verdict onLoad = RatioBench.only(bench.take("C/2/2", bench.off("A/2/1", "0"), "0"));
    assertTrue(onLoad.sentence().contains("position 1, not 2"), onLoad.sentence());
    Verdict other = RatioBench.only(bench.take("C/1/2", bench.off("A/2/2", "0"), "0"));
    assertTrue(other.sentence().contains("position 2, not 1"), other.sentence());
  }
}
