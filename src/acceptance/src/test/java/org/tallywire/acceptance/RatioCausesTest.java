package org.tallywire.acceptance;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.util.List;
import java.util.Optional;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.tallywire.acceptance.TapChanger.Kind;
import org.tallywire.acceptance.Verdict.State;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/** What a failed ratio is said to come from, by itself and beside the other readings. */
class RatioCausesTest {

  private static RatioBench bench() {
    SamplePlate plate = new SamplePlate().taps("11550", "11275", "11000", "10725", "10450");
    plate.impedance = Optional.of("4.5");
    return new RatioBench(plate.plate(), Samples.ratioDeviation("0.5", true));
  }

  private static void concludes(String conclusion, Verdict v) {
    assertTrue(v.sentence().endsWith(": fail" + conclusion + "."), v.sentence());
    assertEquals(State.FAIL, v.state());
    assertEquals(1, v.findings().size());
    assertEquals(Finding.Kind.HINT, v.findings().get(0).kind());
    assertFalse(v.findings().get(0).sentence().contains("%s"), v.findings().toString());
  }

  /** A lost LV turn of 162 makes the ratio 0.62 % high on every tap (derived). */
  @Test
  void theSameOnEveryTapOfOnePhase() {
    RatioBench bench = bench();
    for (String tap : List.of("1", "2", "4", "5")) {
      bench.judgedOff("B/" + tap, "0.62");
    }
    Verdict v = bench.judged("B/3", "44.274");
    assertEquals(
        "HV-LV B tap 3: ratio 44.274 is +0.620 % from 44.0013 (limit ±0.45 %): fail; the same on"
            + " every tap, so look for shorted turns in LV B or a wrong plate.",
        v.sentence());
    assertEquals(
        List.of("bay-2:e1:5:0", "bay-2:e1:1:0", "bay-2:e1:2:0", "bay-2:e1:3:0", "bay-2:e1:4:0"),
        v.readings());
    assertEquals(v.readings().stream().map("booking:"::concat).toList(), v.bookings());
    assertEquals("B", v.findings().get(0).phase());
    assertEquals(
        "Phase B reads high alike on every tap: shorted turns in LV B, a wrong nameplate, or leads"
            + " on the wrong terminals.",
        v.findings().get(0).sentence());
    assertEquals(
        "Switch the test voltage off, check the leads on 1V-1W / 2v-2n, and take it again; if it"
            + " stays, compare the excitation currents of the phases, and do not put the unit into"
            + " service before the winding has been looked at.",
        v.next());
  }

  @Test
  void theSameOnSomeTapsSoFarWithTheOtherPhasesRight() {
    RatioBench bench = bench();
    bench.judgedOff("B/1", "-0.7");
    bench.judgedOff("A/2", "0.01");
    bench.judgedOff("C/2", "-0.02");
    Verdict v = bench.judgedOff("B/2", "-0.68");
    concludes(
        "; the same on every tap so far, so look for shorted turns in HV B (a wrong plate would"
            + " show on phase A and C too)",
        v);
    assertTrue(v.findings().get(0).sentence().startsWith("Phase B reads low alike on every tap"));
    assertFalse(v.findings().get(0).sentence().contains("nameplate"));
    assertEquals(4, v.readings().size());
  }

  // the same within the uncertainty of 0.1 %, or within a tenth of the deviation (practice)
  @ParameterizedTest
  @CsvSource({"0.699,true", "0.701,false", "0.501,true", "0.499,false"})
  void theSameIsWithinTheUncertainty(String other, boolean same) {
    RatioBench bench = bench();
    bench.judgedOff("B/1", other);
    assertEquals(same, bench.judgedOff("B/2", "0.6").sentence().contains("the same on every tap"));
  }

  @ParameterizedTest
  @CsvSource({"8.79,true", "8.81,false", "7.21,true", "7.19,false"})
  void orWithinATenthOfTheDeviation(String other, boolean same) {
    RatioBench bench = bench();
    bench.judgedOff("B/1", other);
    assertEquals(same, bench.judgedOff("B/2", "8").sentence().contains("the same on every tap"));
  }

  @Test
  void anotherTapThatIsRightIsNotTheSame() {
    RatioBench bench = bench();
    bench.judgedOff("B/1", "0.44");
    concludes(
        "; alone on this tap, so look at the leads and the contact of tap 2",
        bench.judgedOff("B/2", "0.6"));
  }

  @Test
  void aloneOnThisTap() {
    RatioBench bench = bench();
    bench.judgedOff("A/1", "0");
    bench.judgedOff("A/2", "0");
    bench.judgedOff("B/3", "0");
    Verdict v = bench.judgedOff("A/3", "-1.3");
    concludes("; alone on this tap, so look at the leads and the contact of tap 3", v);
    assertEquals(
        "Phase A is off on tap 3 and right on the other taps: a fault of this tap's leads or"
            + " contact in that phase, or a lead that has come loose.",
        v.findings().get(0).sentence());
    assertEquals(
        "Switch the test voltage off. With the unit de-energised, check the leads on 1U-1V / 2u-2n,"
            + " work the tap changer through its positions, set it to tap 3, and take it again.",
        v.next());
  }

  @Test
  void aloneOnThisTapAndLikeAnother() {
    RatioBench bench = bench();
    bench.judgedOff("A/1", "0");
    bench.judgedOff("B/3", "0");
    Verdict v = bench.judged("A/3", "45.10");
    concludes(
        "; alone on this tap and like tap 2, so look at the leads and the contact of tap 3", v);
    assertTrue(v.findings().get(0).sentence().endsWith(" It reads like tap 2."));
    RatioBench without = bench();
    without.judgedOff("B/3", "0");
    concludes(
        "; this phase alone and like tap 2, so look at the leads and the contact of tap 3",
        without.judged("A/3", "45.10"));
  }

  @Test
  void allPhasesLikeAnotherTap() {
    RatioBench bench = bench();
    bench.judged("A/3", "45.10");
    Verdict two = bench.judged("B/3", "45.11");
    concludes(
        "; the same on phase A, like tap 2, so look at which position the tap changer really is on",
        two);
    Verdict v = bench.judged("C/3", "45.10");
    concludes(
        "; the same on all phases, like tap 2, so look at which position the tap changer really is"
            + " on",
        v);
    assertEquals("all", v.findings().get(0).phase());
    assertEquals(
        "The phases read like tap 2, not tap 3: the tap changer is on another position.",
        v.findings().get(0).sentence());
    assertEquals(
        "Switch the test voltage off. With the unit de-energised, set the tap changer to tap 3, and"
            + " take all phases again.",
        v.next());
  }

  @Test
  void likeAnotherTapOnEveryTap() {
    RatioBench bench = bench();
    concludes(
        "; like tap 2, so look at which position the tap changer really is on",
        bench.judged("A/3", "45.10"));
    Verdict v = bench.judged("A/4", "44.00");
    concludes(
        "; like tap 3, and off alike on every tap, so look at the tap changer's position indicator",
        v);
    assertTrue(
        v.findings().get(0).sentence().endsWith("do not, look for shorted turns in LV A."),
        v.findings().toString());
  }

  @Test
  void allPhasesAlikeOnThisTapAlone() {
    RatioBench bench = bench();
    bench.judgedOff("C/2", "0");
    bench.judgedOff("A/3", "-1.2");
    bench.judgedOff("B/3", "-1.2");
    Verdict v = bench.judgedOff("C/3", "-1.21");
    concludes("; the same on all phases, so look for a wrong tap position or a wrong plate", v);
    assertEquals(
        "The phases are off alike on tap 3: a wrong tap position or nameplate.",
        v.findings().get(0).sentence());
    assertEquals(
        "Switch the test voltage off. With the unit de-energised, see that the tap changer is on tap"
            + " 3; compare the nameplate; take all phases again.",
        v.next());
  }

  @Test
  void allPhasesAlikeOnEveryTap() {
    RatioBench bench = bench();
    bench.judgedOff("B/2", "-1.2");
    bench.judgedOff("A/3", "-1.2");
    Verdict v = bench.judgedOff("B/3", "-1.2");
    concludes(
        "; the same on phase A and on every tap, so look for a wrong plate or setting of the"
            + " instrument",
        v);
    assertTrue(v.findings().get(0).sentence().contains("the group (Dyn11)"));
    assertEquals(
        "Compare the nameplate that was entered with the one on the unit, and the instrument's"
            + " setting with the plan.",
        v.next());
  }

  @Test
  void nothingToCompareWith() {
    Verdict v = bench().judgedOff("A/3", "-1.2");
    concludes("", v);
    assertEquals(
        "Phase A reads low. Compare it with the other phases on this tap and with this phase on the"
            + " other taps: alone on every tap it may be shorted turns in HV A; alone on this tap a"
            + " fault of the tap's leads or contact; all phases alike a wrong tap position or"
            + " nameplate. Check the leads and take it again.",
        v.findings().get(0).sentence());
    assertEquals(
        "Switch the test voltage off, check the leads and, with the unit de-energised, the tap"
            + " position, and take it again; then take the other phases and taps and compare.",
        v.next());
  }

  @Test
  void othersWithoutANumberTellNothing() {
    RatioBench bench = bench();
    bench.take("A/1", Reading.Status.ABORTED, Samples.ratioValues("46", "4"));
    bench.take(
        "B/3",
        Reading.Status.OK,
        new Value.Missing(Quantity.TURNS_RATIO, Unit.ONE, Value.Reason.OPEN));
    Verdict v = bench.judgedOff("A/3", "-1.2");
    concludes("", v);
    assertEquals(1, v.readings().size());
  }

  @Test
  void mixedReadingsMakeNoConclusion() {
    RatioBench bench = bench();
    bench.judgedOff("A/1", "0");
    bench.judgedOff("A/2", "-3.9");
    concludes("", bench.judgedOff("A/3", "-1.2"));
  }

  @Test
  void zeroNegativeAndInverted() {
    concludes("; nothing is measured, so look for an open lead", bench().judged("A/3", "0"));
    concludes(
        "; the ratio is negative, so look for a reversed pair of leads",
        bench().judged("A/3", "-44"));
    // 1 / 44.001290723
    Verdict inverted = bench().judged("A/3", "0.022727");
    concludes(
        "; it is one by the expected ratio, so look whether HV and LV leads are exchanged",
        inverted);
    assertTrue(inverted.next().contains("the HV terminals carry the ratio times the test voltage"));
  }

  // within 1 % of the square root of 3 (practice): 44.001290723 / 1.7320508 x 1.0099 and 1.0101
  @ParameterizedTest
  @CsvSource({"25.6556,true", "25.6609,false", "25.1515,true", "25.1473,false", "76.97,true"})
  void theSquareRootOfThree(String measured, boolean near) {
    assertEquals(
        near,
        bench()
            .judged("A/3", measured)
            .sentence()
            .endsWith(
                "off by about the square root of 3, so check the instrument's group and the"
                    + " leads."));
  }

  // a ratio near 1 and its inverse look alike
  @ParameterizedTest
  @CsvSource({"1049,1000,false", "1051,1000,true"})
  void theInverseOfARatioNearOneIsNotNamed(String hv, String lv, boolean named) {
    SamplePlate plate = new SamplePlate();
    plate.group = "YNyn0";
    plate.hv = hv;
    plate.lv = lv;
    RatioBench bench = new RatioBench(plate.plate(), Samples.ratioDeviation("0.5", false));
    assertEquals(
        named, bench.judged("A/1", "0.952").sentence().contains("one by the expected ratio"));
  }

  @Test
  void aPairThatReachesSeveralWindingsIsNamedByItsTerminals() {
    SamplePlate plate = new SamplePlate().taps("11275", "11000", "10725");
    plate.group = "Yyn0";
    RatioBench bench = new RatioBench(plate.plate(), Samples.ratioDeviation("0.5", false));
    bench.judgedOff("B/1", "1.3");
    assertTrue(
        bench
            .judgedOff("B/2", "1.3")
            .sentence()
            .contains("shorted turns in LV between 2v and 2w or a wrong plate"));
    assertTrue(
        bench.judgedOff("C/2", "-1.3").findings().get(0).sentence().contains("HV between 1W and"));
  }

  // on an LV tap changer the ratio falls where the voltage rises
  @Test
  void anotherTapOfAnLvTapChanger() {
    SamplePlate plate = new SamplePlate().taps(Side.LV, Kind.DE_ENERGISED, "420", "433", "446");
    RatioBench bench = new RatioBench(plate.plate(), Samples.ratioDeviation("0.5", false));
    concludes(
        "; like tap 1, so look at which position the tap changer really is on",
        bench.judged("A/2", bench.off("A/1", "0.1")));
  }

  @Test
  void anotherTapOfTheSecondTapChanger() {
    SamplePlate plate =
        new SamplePlate()
            .taps("11275", "11000", "10725")
            .taps(Side.LV, Kind.ON_LOAD, "425", "433", "441");
    RatioBench bench = new RatioBench(plate.plate(), Samples.ratioDeviation("0.5", false));
    concludes(
        "; like on-load tap 3, so look at which position the tap changer really is on",
        bench.judged("A/2/2", bench.off("A/2/3", "0.1")));
    concludes(
        "; the same on every tap so far, so look for shorted turns in HV B or a wrong plate",
        twice(bench, "B/2/1", "B/1/2"));
  }

  private static Verdict twice(RatioBench bench, String first, String second) {
    bench.judgedOff(first, "-0.9");
    return bench.judgedOff(second, "-0.9");
  }

  @Test
  void aConditionalFailSaysWhatWouldDecideIt() {
    RatioBench bench = bench();
    bench.judgedOff("B/1", "0.5");
    Verdict v = bench.judgedOff("B/2", "0.5");
    assertEquals(State.CONDITIONAL_FAIL, v.state());
    assertTrue(
        v.sentence()
            .contains(
                "conditional fail, nearer to the limit than the uncertainty of 0.1 %;"
                    + " the same on every tap so far"),
        v.sentence());
    assertTrue(v.next().startsWith("Take it again; an uncertainty of at most 0.0"), v.next());
  }

  @Test
  void aPassHasNoFindingAndOneReading() {
    RatioBench bench = bench();
    bench.judgedOff("B/1", "0.7");
    Verdict v = bench.judgedOff("B/2", "0.3");
    assertEquals(List.of(), v.findings());
    assertEquals(1, v.readings().size());
    assertEquals("Go on.", v.next());
  }
}
