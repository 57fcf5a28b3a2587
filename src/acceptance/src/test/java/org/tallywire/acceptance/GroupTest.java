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

  /** Dyn11 connected as Dyn1: U-V / u-n then reads another limb. */
  @Test
  void anotherGroupIsFoundAndNamed() {
    // Dyn11 leads on a Dyn1 unit: the LV pair is on a limb with half the voltage or none (derived)
    RatioBench dyn1 = bench("Dyn1");
    assertEquals(State.PASS, three(dyn1, "44.00", "0", "44.00", "0", "44.00", "0").state());
    Verdict v = three(bench("Dyn11"), "88.0", "180", "88.0", "180", "88.0", "180");
    assertEquals(State.FAIL, v.state());
    assertTrue(v.sentence().length() > 200, v.sentence());
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
        "Switch the test voltage off, check every lead against the plan and the tap position, and"
            + " take all phases again.",
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
