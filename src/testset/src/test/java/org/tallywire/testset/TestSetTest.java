package org.tallywire.testset;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.time.Instant;
import java.util.EnumSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.stream.Collectors;
import java.util.stream.Stream;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.tallywire.acceptance.CoreForm;
import org.tallywire.acceptance.CriteriaTable;
import org.tallywire.acceptance.Criterion;
import org.tallywire.acceptance.Nameplate;
import org.tallywire.acceptance.PlanOptions;
import org.tallywire.acceptance.PlanOptions.TestKind;
import org.tallywire.acceptance.RatioBasis;
import org.tallywire.acceptance.Rule;
import org.tallywire.acceptance.Side;
import org.tallywire.acceptance.Step;
import org.tallywire.acceptance.TapChanger;
import org.tallywire.acceptance.TapChanger.Kind;
import org.tallywire.acceptance.TestPlan;
import org.tallywire.acceptance.Verdict;
import org.tallywire.acceptance.resistance.Conductor;
import org.tallywire.acceptance.resistance.ConductorConstants;
import org.tallywire.acceptance.uncertainty.Decision;
import org.tallywire.acceptance.winding.WindingGroup;
import org.tallywire.api.Booking;
import org.tallywire.api.ClockQuality;
import org.tallywire.api.Instrument;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.RecordedReading;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

class TestSetTest {

  private static final Instant NOW = Instant.parse("2026-01-15T08:00:00Z");

  private final TestSet testSet = new TestSet(opened());

  @Test
  @DisplayName("A reading is placed by its labels; the same reading always gets the same booking")
  void places() {
    RecordedReading reading = reading("r1", Map.of("phase", "B", "tap", "2"), "44.0");
    Booking booking = testSet.place(reading, NOW).orElseThrow();
    assertEquals("turns-ratio/HV-LV/B/2", booking.step());
    assertEquals(booking.id(), testSet.place(reading, NOW.plusSeconds(9)).orElseThrow().id());
  }

  @Test
  @DisplayName("A reading whose labels name no step is not placed")
  void noStep() {
    assertEquals(Optional.empty(), testSet.place(reading("r1", Map.of("phase", "D"), "1"), NOW));
    assertEquals(
        Optional.empty(), testSet.place(reading("r1", Map.of("phase", "A", "tap", "9"), "1"), NOW));
    assertEquals(
        Optional.empty(),
        testSet.place(reading("r1", Map.of("phase", "A", "tap", "02"), "1"), NOW));
  }

  @Test
  @DisplayName("With two tap changers both labels name the step, where the tap matters")
  void twoTapChangers() {
    TestSet two =
        new TestSet(
            opened(
                List.of(
                    TapChanger.equalSteps(
                        Side.HV, Kind.ON_LOAD, n("11000"), 17, n("10"), n("-1.25"), 9),
                    TapChanger.equalSteps(
                        Side.LV, Kind.DE_ENERGISED, n("433"), 3, n("5"), n("-5"), 2))));
    assertEquals(
        "turns-ratio/HV-LV/C/2/17",
        placed(two, Map.of("phase", "C", "tap", "2", "on-load-tap", "17")));
    assertEquals("", placed(two, Map.of("phase", "C", "tap", "2")));
    assertEquals("", placed(two, Map.of("phase", "C", "on-load-tap", "17")));
    assertEquals("", placed(two, Map.of("phase", "C", "tap", "1", "on-load-tap", "17")));
    assertEquals(
        "insulation-resistance/HV-earth/ABC",
        placed(
            two, Map.of("test", "insulation-resistance", "windings", "HV-earth", "phase", "ABC")));
    assertEquals(
        "short-circuit-impedance/HV-LV/ABC/2/9",
        placed(
            two,
            Map.of(
                "test",
                "short-circuit-impedance",
                "phase",
                "ABC",
                "tap",
                "2",
                "on-load-tap",
                "9")));
  }

  private static String placed(TestSet testSet, Map<String, String> labels) {
    return testSet.place(reading("r1", labels, "1"), NOW).map(Booking::step).orElse("");
  }

  @Test
  @DisplayName("An on-load tap changer alone has the label tap")
  void onLoadAlone() {
    TestSet one =
        new TestSet(
            opened(
                List.of(
                    TapChanger.equalSteps(
                        Side.HV, Kind.ON_LOAD, n("11000"), 17, n("10"), n("-1.25"), 9))));
    assertEquals("turns-ratio/HV-LV/A/17", placed(one, Map.of("phase", "A", "tap", "17")));
  }

  @Test
  @DisplayName("The last booking of a reading wins: it leaves the step it was booked to before")
  void rebooked() {
    RecordedReading reading = reading("r1", Map.of("phase", "A", "tap", "1"), "44.0013");
    Verdict first = booked(reading).get(0);
    assertTrue(first.state().failed(), first.sentence());
    Booking moved = new Booking("b2", "r1", "set-1", "turns-ratio/HV-LV/A/2", "tester", NOW);
    Verdict second = testSet.booked(reading, moved).get(0);
    assertTrue(second.state().passed(), second.sentence());
    assertEquals(
        List.of("turns-ratio/HV-LV/A/2"),
        testSet.current().stream().map(b -> b.step().id()).toList());
  }

  @Test
  @DisplayName(
      "It is complete when every step has a reading, and closes with what is open and found")
  void closes() {
    booked(reading("r1", Map.of("phase", "A", "tap", "2"), "44.0013"));
    assertFalse(testSet.complete());
    TestSetEvent.Closed early = testSet.close(NOW);
    assertEquals(testSet.opened().plan().steps().size() - 1, early.open().size());
    assertEquals(Map.of("pass", 1), early.result());

    for (Step step : testSet.opened().plan().steps()) {
      Booking booking = new Booking("b-" + step.id(), step.id(), "set-1", step.id(), "test", NOW);
      testSet.booked(reading(step.id(), Map.of("phase", "A"), "44.0013"), booking);
    }
    assertTrue(testSet.complete());
    assertEquals(List.of(), testSet.close(NOW).open());
    assertEquals("test-set:set-1:closed", testSet.close(NOW).id());
  }

  @Test
  @DisplayName("A last reading that must be taken again leaves it open for the retake")
  void lastReadingAborted() {
    List<Step> steps = testSet.opened().plan().steps();
    for (Step step : steps) {
      boolean last = step.equals(steps.get(steps.size() - 1));
      book(step, reading(step.id(), Map.of("phase", "A"), "44.0013", last));
    }
    assertFalse(testSet.complete());
    Step last = steps.get(steps.size() - 1);
    book(last, reading("retake", Map.of("phase", "A"), "44.0013", false));
    assertTrue(testSet.complete());
  }

  @Test
  @DisplayName("A booking takes the place of all verdicts on its step, made again or not")
  void bookingReplacesVerdicts() {
    TestSet slow = new TestSet(opened(List.of(twoTaps()), List.of(ratio(), settling())));
    Step last = null;
    for (Step step : slow.opened().plan().steps()) {
      last = step.test().equals(Step.WINDING_RESISTANCE) ? step : last;
      slow.booked(
          step.test().equals(Step.WINDING_RESISTANCE)
              ? resistance(step.id(), Reading.Status.OK)
              : reading(step.id(), Map.of(), "44.0013"),
          booking(step.id(), step));
    }
    assertTrue(slow.complete());
    slow.booked(resistance("early", Reading.Status.NOT_SETTLED), booking("early", last));
    assertEquals(List.of("resistance-settling undecided"), found(slow, last));
    assertFalse(slow.complete());
    assertEquals(
        List.of(), slow.booked(resistance("late", Reading.Status.OK), booking("late", last)));
    assertEquals(List.of(), found(slow, last));
    assertTrue(slow.complete(), "the verdict on the early reading is gone");
    assertFalse(slow.close(NOW).result().containsKey("undecided"));
  }

  private static List<String> found(TestSet testSet, Step step) {
    return testSet.verdicts().stream()
        .filter(v -> v.subject().equals(step.id()))
        .map(v -> v.criterion() + " " + v.state().word())
        .toList();
  }

  private static Booking booking(String reading, Step step) {
    return new Booking("b-" + reading, reading, "set-1", step.id(), "test", NOW);
  }

  private void book(Step step, RecordedReading reading) {
    testSet.booked(
        reading, new Booking("b-" + reading.id(), reading.id(), "set-1", step.id(), "test", NOW));
  }

  @Test
  @DisplayName("It is fed by its stations only")
  void stations() {
    assertTrue(testSet.fedBy("bay-1"));
    assertFalse(testSet.fedBy("bay-2"));
  }

  private List<Verdict> booked(RecordedReading reading) {
    return testSet.booked(reading, testSet.place(reading, NOW).orElseThrow());
  }

  private static TestSetEvent.Opened opened() {
    return opened(List.of(twoTaps()));
  }

  private static TestSetEvent.Opened opened(List<TapChanger> changers) {
    return opened(changers, List.of(ratio()));
  }

  private static TapChanger twoTaps() {
    return TapChanger.equalSteps(Side.HV, Kind.DE_ENERGISED, n("11000"), 2, n("5"), n("-5"), 2);
  }

  private static Criterion ratio() {
    return new Criterion(
        Criterion.Kind.RATIO_DEVIATION,
        Map.of(Criterion.LIMIT, "0.5"),
        Optional.of(n("0.1")),
        new Rule(
            "within 0.5 %", "IEC 60076-1:1993+A1:1999, table 1, item 2", Rule.Certainty.FOUND));
  }

  private static Criterion settling() {
    return new Criterion(
        Criterion.Kind.RESISTANCE_SETTLING,
        Map.of(Criterion.LIMIT, "0.5"),
        Optional.of(n("0.1")),
        new Rule("settled to 0.5 %", "invented", Rule.Certainty.PRACTICE));
  }

  private static TestSetEvent.Opened opened(List<TapChanger> changers, List<Criterion> criteria) {
    Nameplate plate =
        new Nameplate(
            "HL-0231",
            WindingGroup.parse("Dyn11"),
            n("250"),
            n("11000"),
            n("433"),
            n("50"),
            changers,
            Conductor.COPPER,
            Conductor.ALUMINIUM,
            n("75"),
            Optional.empty(),
            Optional.empty(),
            OptionalInt.empty(),
            CoreForm.THREE_LIMB,
            List.of(),
            Map.of());
    return new TestSetEvent.Opened(
        "set-1",
        NOW,
        List.of("bay-1"),
        plate,
        TestPlan.of(plate, new PlanOptions(EnumSet.allOf(TestKind.class), RatioBasis.TERMINALS)),
        new CriteriaTable(
            "test",
            "1",
            "0".repeat(64),
            Decision.guarded(BigDecimal.ONE),
            ConductorConstants.IEEE,
            Map.of(),
            criteria));
  }

  private static BigDecimal n(String number) {
    return new BigDecimal(number);
  }

  private static RecordedReading reading(String id, Map<String, String> labels, String ratio) {
    return reading(id, labels, ratio, false);
  }

  private static RecordedReading resistance(String id, Reading.Status status) {
    return reading(
        id,
        Map.of("test", "winding-resistance"),
        new Value.Measured(Quantity.WINDING_RESISTANCE, n("2.40"), new Unit("mOhm")),
        status);
  }

  private static RecordedReading reading(
      String id, Map<String, String> labels, String ratio, boolean aborted) {
    return reading(
        id,
        labels,
        new Value.Measured(Quantity.TURNS_RATIO, new BigDecimal(ratio), Unit.ONE),
        aborted ? Reading.Status.ABORTED : Reading.Status.OK);
  }

  private static RecordedReading reading(
      String id, Map<String, String> labels, Value value, Reading.Status status) {
    Map<String, String> all =
        Stream.concat(
                Map.of("test", "turns-ratio", "windings", "HV-LV").entrySet().stream(),
                labels.entrySet().stream())
            .collect(
                Collectors.toMap(Map.Entry::getKey, Map.Entry::getValue, (one, given) -> given));
    return new RecordedReading(
        id,
        "bay-1",
        "line 1.0",
        new Reading(
            Instrument.UNNAMED,
            Optional.empty(),
            0,
            all,
            List.of(value),
            status,
            Optional.empty(),
            ClockQuality.NONE,
            NOW,
            "raw"));
  }
}
