package org.tallywire.acceptance;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.math.RoundingMode;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.ValueSource;
import org.tallywire.acceptance.Criterion.Kind;
import org.tallywire.acceptance.Verdict.State;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading.Status;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/**
 * Above 1.2 times the no-load current (found: a trade article from a factory's test laboratory), 10
 * % of rated as a caution and 15 % as the limit (IEC 60076-1 and IEEE C57.12.90, memory).
 */
class TestCurrentTest {

  /** A transformer with 100 A in an HV line: 1000 √3 kVA at 10 000 V, √3 to more digits than 34. */
  private static SamplePlate sample() {
    SamplePlate plate = new SamplePlate().taps("10000");
    plate.power = "1732.0508075688772935274463415058723669428052538104";
    plate.lv = "1000";
    return plate;
  }

  private static Criterion criterion(String limit, String caution) {
    return Samples.criterion(
        Kind.TEST_CURRENT,
        "0",
        Map.of("limit", limit, "caution", caution, "least-of-no-load", "1.2"));
  }

  private static Verdict judged(Nameplate plate, String step, Status status, Value... values) {
    Step of = Samples.step(plate, step);
    return judged(plate, criterion("15", "10"), Samples.booked(of, 1, status, values));
  }

  private static Verdict judged(Nameplate plate, Criterion criterion, BookedReading booked) {
    List<Verdict> verdicts =
        Samples.examine(
            new Examiner("set-1", plate, Samples.table(criterion)), booked, List.of(booked));
    assertEquals(1, verdicts.size());
    return verdicts.get(0);
  }

  private static Verdict judged(SamplePlate plate, String step, String amperes) {
    return judged(plate.plate(), step, Status.OK, with(amperes));
  }

  private static Value[] with(String amperes, Value... more) {
    List<Value> values = new ArrayList<>(List.of(Samples.resistanceValues("0.5", "20")));
    values.add(Samples.value(Quantity.TEST_CURRENT, amperes, Unit.AMPERE));
    values.addAll(List.of(more));
    return values.toArray(new Value[0]);
  }

  // boundaries belong to the better side
  @ParameterizedTest
  @CsvSource({
    "15.0,PASS,1",
    "15.001,FAIL,0",
    "10.0,PASS,0",
    "10.001,PASS,1",
    "0.001,PASS,0",
    "150,FAIL,0"
  })
  void theShareOfTheRatedCurrentIsHeldAgainstTheLimit(String amperes, State state, int findings) {
    Verdict v = judged(sample(), "winding-resistance/HV/A/1", amperes);
    assertEquals(state, v.state(), v.sentence());
    assertEquals(0, v.deviation().orElseThrow().compareTo(Samples.n(amperes)));
    assertEquals(Optional.of(Samples.n(amperes)), v.measured());
    assertEquals(0, v.expected().orElseThrow().compareTo(Samples.n("100")));
    assertEquals(Unit.AMPERE, v.unit());
    assertEquals(Unit.PERCENT, v.deviationUnit());
    assertEquals(findings, v.findings().size(), v.findings().toString());
  }

  @Test
  void aboveTheCautionIsSeen() {
    Finding finding = judged(sample(), "winding-resistance/HV/A/1", "12").findings().get(0);
    assertEquals(Finding.Kind.SEEN, finding.kind());
    assertEquals("A", finding.phase());
    assertTrue(finding.sentence().startsWith("The test current is above 10 % of the rated"));
  }

  @Test
  void theSentenceHasItsFiguresAndSaysWhatToDo() {
    Verdict v = judged(sample(), "winding-resistance/HV/C/1", "20.5");
    assertEquals(
        "HV C tap 1: test current 20.5 A is 20.500 % of the rated 100.000 A (limit 15 %): fail.",
        v.sentence());
    assertEquals(
        "Run the current down, let the winding discharge and cool, and take it again with at most"
            + " 15.0 A.",
        v.next());
    assertEquals("winding-resistance/HV/C/1", v.subject());
  }

  // 1 MVA, 11 kV: 52.486388 A (derived); 500 kVA at 433 V: 666.69 A; single-phase S / U
  @Test
  void theRatedCurrentIsThatOfTheSide() {
    SamplePlate plate = new SamplePlate().taps("11000");
    plate.power = "1000";
    assertEquals(
        Samples.n("52.486388"),
        judged(plate, "winding-resistance/HV/A/1", "5").expected().orElseThrow());
    plate.power = "500";
    assertEquals(
        Samples.n("666.69"),
        judged(plate, "winding-resistance/LV/A", "5")
            .expected()
            .orElseThrow()
            .setScale(2, RoundingMode.HALF_EVEN));
    SamplePlate single = new SamplePlate().taps("10000");
    single.group = "Ii0";
    single.core = CoreForm.SINGLE_PHASE;
    single.power = "500";
    assertEquals(
        0,
        judged(single, "winding-resistance/HV/A/1", "5")
            .expected()
            .orElseThrow()
            .compareTo(Samples.n("50")));
  }

  // 1.2 x 2 % of 100 A = 2.4 A, which itself is not above it
  @ParameterizedTest
  @CsvSource({"2.4,true", "2.401,false", "1,true"})
  void notAboveTheNoLoadCurrentIsSeen(String amperes, boolean low) {
    SamplePlate plate = sample();
    plate.noLoadCurrent = Optional.of("2");
    Verdict v = judged(plate, "winding-resistance/HV/B/1", amperes);
    assertEquals(State.PASS, v.state());
    assertEquals(low ? 1 : 0, v.findings().size());
    if (low) {
      Finding finding = v.findings().get(0);
      assertEquals(Finding.Kind.SEEN, finding.kind());
      assertEquals("B", finding.phase());
      assertTrue(finding.sentence().contains("not above 1.2 times the no-load current, 2.4"));
      assertTrue(finding.sentence().endsWith("Use more."), finding.sentence());
    }
  }

  // 1.2 x 12.5 % is the limit itself: no current is above the one and within the other
  @Test
  void whereNoCurrentIsRightBothAreSaid() {
    SamplePlate plate = sample();
    plate.noLoadCurrent = Optional.of("12.5");
    Verdict v = judged(plate, "winding-resistance/HV/B/1", "14");
    assertEquals(2, v.findings().size());
    assertTrue(v.findings().get(1).sentence().contains("No current is above that and within"));
    plate.noLoadCurrent = Optional.of("12.4");
    Finding low = judged(plate, "winding-resistance/HV/B/1", "9").findings().get(0);
    assertTrue(low.sentence().endsWith("Use more."), low.sentence());
  }

  @Test
  void aReadingWithoutItIsUndecided() {
    Verdict v =
        judged(
            sample().plate(),
            "winding-resistance/HV/A/1",
            Status.OK,
            Samples.resistanceValues("0.5", "20"));
    assertEquals(State.UNDECIDED, v.state());
    assertEquals(
        "HV A tap 1: test current not judged: the reading has no test-current.", v.sentence());
    assertTrue(v.next().startsWith("Take it again with an instrument that gives it"));
  }

  @ParameterizedTest
  @ValueSource(strings = {"0", "-5", "1e80"})
  void aCurrentThatCannotBeIsUndecided(String amperes) {
    assertEquals(State.UNDECIDED, judged(sample(), "winding-resistance/HV/A/1", amperes).state());
  }

  @Test
  void aReadingThatIsNotSettledIsUndecided() {
    Verdict v =
        judged(sample().plate(), "winding-resistance/HV/A/1", Status.NOT_SETTLED, with("5"));
    assertEquals(State.UNDECIDED, v.state());
  }

  @Test
  void aTableWithLimitBelowCautionIsToldNotThrown() {
    Nameplate plate = sample().plate();
    BookedReading booked =
        Samples.booked(Samples.step(plate, "winding-resistance/HV/A/1"), 1, with("5"));
    Verdict v = judged(plate, criterion("9", "10"), booked);
    assertEquals(State.UNDECIDED, v.state());
    assertTrue(v.sentence().contains("the limit 9 % below the caution 10 %"), v.sentence());
    assertEquals(State.PASS, judged(plate, criterion("10", "10"), booked).state());
  }

  // R = U / I, four-wire (IEEE C57.12.91, found): 0.5 Ohm at 5 A is 2.5 V; within 1 % (practice)
  @ParameterizedTest
  @CsvSource({"2.5,0", "2.5252,0", "2.5253,1", "2.4753,0", "2.4752,1", "12,1"})
  void aVoltageMustAgree(String volts, int hints) {
    Verdict v =
        judged(
            sample().plate(),
            "winding-resistance/HV/A/1",
            Status.OK,
            with("5", Samples.value(Quantity.TEST_VOLTAGE, volts, Unit.VOLT)));
    assertEquals(State.PASS, v.state());
    assertEquals(hints, v.findings().size(), v.findings().toString());
    if (hints > 0) {
      assertEquals(Finding.Kind.HINT, v.findings().get(0).kind());
    }
  }

  @Test
  void aVoltageThatCannotBeIsNoHint() {
    Verdict v =
        judged(
            sample().plate(),
            "winding-resistance/HV/A/1",
            Status.OK,
            with("5", Samples.value(Quantity.TEST_VOLTAGE, "-2", Unit.VOLT)));
    assertEquals(List.of(), v.findings());
  }

  @Test
  void scalingPowerAndCurrentChangesNeitherFigureNorState() {
    Random random = new Random(Samples.seed());
    for (int i = 0; i < Rounds.of(200); i++) {
      SamplePlate plate = new SamplePlate().taps("11000");
      int kva = 50 + random.nextInt(5000);
      int amperes = 1 + random.nextInt(50);
      int scale = 1 + random.nextInt(9);
      plate.power = Integer.toString(kva);
      Verdict here = judged(plate, "winding-resistance/HV/A/1", Integer.toString(amperes));
      plate.power = Integer.toString(kva * scale);
      Verdict there = judged(plate, "winding-resistance/HV/A/1", Integer.toString(amperes * scale));
      assertEquals(here.deviation(), there.deviation());
      assertEquals(here.state(), there.state());
      BigDecimal share = here.deviation().orElseThrow();
      double expected = 100.0 * amperes * Math.sqrt(3) * 11000 / (kva * 1000.0);
      assertEquals(expected, share.doubleValue(), 1e-6);
    }
  }
}
