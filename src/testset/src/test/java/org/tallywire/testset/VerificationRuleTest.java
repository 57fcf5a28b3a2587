package org.tallywire.testset;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.time.Instant;
import java.time.LocalDate;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.tallywire.acceptance.Verdict;
import org.tallywire.acceptance.uncertainty.Accuracy;
import org.tallywire.api.ClockQuality;
import org.tallywire.api.Instrument;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.RecordedReading;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

class VerificationRuleTest {

  private static final Instant AT = Instant.parse("2026-03-02T10:00:00Z");
  private static final Instrument METER = new Instrument("Maker", "Model", "4711", "1.0");
  private static final LocalDate DUE = LocalDate.parse("2026-03-02");
  private static final Optional<ReferenceStandard.Warmth> NONE = Optional.empty();

  @Test
  @DisplayName("Ten ohms, three readings: every figure as by hand (GUM 5.1.2, G.4.1, table G.2)")
  void byHand() {
    VerificationRule rule = rule(ohms("10", "0.002", NONE), "0.5");
    InstrumentEvent.Verified made =
        rule.verify(
            List.of(ohms("a", "10.001"), ohms("b", "10.003"), ohms("c", "10.002")), "x", AT);
    assertEquals(0, made.expected().compareTo(BigDecimal.TEN));
    assertEquals("10.00200", made.measured().orElseThrow().toPlainString());
    assertEquals("0.020000", made.deviation().orElseThrow().toPlainString());
    assertEquals("0.500000", made.limit().toPlainString());
    assertEquals(Unit.PERCENT, made.limitUnit());
    // standard 0.001; scatter 0.001/√3 with 2 degrees of freedom; resolution 0.0005/√3:
    // u = 0.0011902, 36 effective degrees; t is 2.07 for 35 and 2.06 for 40 of them
    double u = Math.sqrt(1e-6 + 1e-6 / 3 + 0.25e-6 / 3) * 10;
    double expanded = made.uncertainty().doubleValue();
    assertTrue(expanded > 2.06 * u && expanded < 2.075 * u, expanded + " " + u);
    assertEquals(Verdict.State.PASS, made.state());
    assertEquals(List.of("a", "b", "c"), made.readings());
  }

  @ParameterizedTest(name = "{0} against 100: {1}")
  @DisplayName("With a guard band of the uncertainty it passes, fails, or nothing is decided")
  @CsvSource({
    // limit 0.1 %, standard ±0.04 (k = 2), resolution 0.001: U = 0.04 % and next to nothing
    "100.000, PASS",
    "100.059, PASS",
    "99.941, PASS",
    "100.061, UNDECIDED",
    "100.100, UNDECIDED",
    "100.139, UNDECIDED",
    "100.141, FAIL",
    "99.859, FAIL",
  })
  void states(String shown, Verdict.State state) {
    VerificationRule rule = rule(ratio("100", "0.04"), "0.1");
    InstrumentEvent.Verified made = rule.verify(List.of(turns("a", shown)), "x", AT);
    assertEquals(state, made.state(), made.sentence());
    assertEquals(0.04, made.uncertainty().doubleValue(), 0.0001);
    assertTrue(made.sentence().contains(state == Verdict.State.FAIL ? "Fail:" : ""));
  }

  @Test
  @DisplayName("Nothing is decided by a standard that is worse than the limit, and it is said")
  void poorStandard() {
    InstrumentEvent.Verified made =
        rule(ratio("100", "0.2"), "0.1").verify(List.of(turns("a", "100.000")), "x", AT);
    assertEquals(Verdict.State.UNDECIDED, made.state());
    assertTrue(made.sentence().contains("better standard"), made.sentence());
  }

  @Test
  @DisplayName(
      "A measured temperature corrects the value by its coefficient (derived); without one"
          + " the range of use is part of the uncertainty")
  void warmth() {
    ReferenceStandard standard =
        ohms("10", "0", Optional.of(new ReferenceStandard.Warmth(d("100"), d("20"), d("10"))));
    VerificationRule unknown = rule(standard, "0.5");
    InstrumentEvent.Verified made = unknown.verify(List.of(ohms("a", "10.000")), "x", AT);
    assertEquals(0, made.expected().compareTo(BigDecimal.TEN));
    // 100 ppm/K over 10 K is 0.1 %, rectangular, k = 2
    assertEquals(2 * 0.1 / Math.sqrt(3), made.uncertainty().doubleValue(), 0.001);
    VerificationRule known =
        new VerificationRule(
            standard,
            Accuracy.ofReading(d("0.5")),
            Optional.of(new VerificationRule.Temperature(d("15"), d("1"))));
    InstrumentEvent.Verified better = known.verify(List.of(ohms("a", "9.995")), "x", AT);
    assertEquals("9.995", better.expected().stripTrailingZeros().toPlainString());
    assertEquals(0, better.deviation().orElseThrow().signum());
    assertEquals(
        2 * Math.hypot(0.01, 0.005) / Math.sqrt(3), better.uncertainty().doubleValue(), 0.0001);
  }

  @Test
  @DisplayName("On the day it is due a certificate counts, the day after it decides nothing")
  void due() {
    VerificationRule rule = rule(ratio("100", "0.01"), "0.1");
    InstrumentEvent.Verified last =
        rule.verify(
            List.of(turns("a", "100.000", Instant.parse("2026-03-02T23:59:59.999Z"))), "x", AT);
    assertEquals(Verdict.State.PASS, last.state());
    InstrumentEvent.Verified late =
        rule.verify(List.of(turns("a", "100.000", Instant.parse("2026-03-03T00:00:00Z"))), "x", AT);
    assertEquals(Verdict.State.UNDECIDED, late.state());
    assertTrue(late.sentence().contains("due on 2026-03-02"), late.sentence());
    assertEquals(0, late.deviation().orElseThrow().signum());
  }

  @Test
  @DisplayName("A reading without number, or one the instrument calls suspect, decides nothing")
  void withoutNumber() {
    VerificationRule rule = rule(ratio("100", "0.01"), "0.1");
    RecordedReading none =
        reading(
            "b",
            METER,
            new Value.Missing(Quantity.TURNS_RATIO, Unit.ONE, Value.Reason.OVER_RANGE),
            Reading.Status.OK,
            AT);
    InstrumentEvent.Verified made = rule.verify(List.of(turns("a", "100.000"), none), "x", AT);
    assertEquals(Verdict.State.UNDECIDED, made.state());
    assertEquals(Optional.empty(), made.measured());
    assertTrue(made.sentence().contains("over-range"), made.sentence());
    RecordedReading suspect =
        reading(
            "c",
            METER,
            new Value.Measured(Quantity.TURNS_RATIO, d("100.000"), Unit.ONE),
            Reading.Status.SUSPECT,
            AT);
    assertEquals(Verdict.State.UNDECIDED, rule.verify(List.of(suspect), "x", AT).state());
  }

  @Test
  @DisplayName("Milliohms of the standard and ohms of the instrument are the same thing")
  void units() {
    ReferenceStandard standard =
        new ReferenceStandard(
            "R",
            "1",
            ReferenceStandard.Kind.RESISTANCE,
            d("10"),
            new Unit("mOhm"),
            d("0.002"),
            d("2"),
            "C",
            DUE,
            NONE);
    InstrumentEvent.Verified made =
        rule(standard, "0.5").verify(List.of(ohms("a", "0.010010")), "x", AT);
    assertEquals("0.010", made.expected().toPlainString());
    assertEquals("0.100000", made.deviation().orElseThrow().toPlainString());
  }

  @Test
  @DisplayName("What cannot be held against the standard is refused, each reason said")
  void objections() {
    VerificationRule rule = rule(ratio("100", "0.01"), "0.1");
    assertEquals(1, rule.objections(List.of()).size());
    Instrument other = new Instrument("Maker", "Model", "4712", "1.0");
    Value ratio = new Value.Measured(Quantity.TURNS_RATIO, d("100.0"), Unit.ONE);
    List<String> objections =
        rule.objections(
            List.of(
                turns("a", "100.0"),
                turns("a", "100.0"),
                ohms("b", "1"),
                reading("c", other, ratio, Reading.Status.OK, AT),
                reading("d", Instrument.UNNAMED, ratio, Reading.Status.OK, AT)));
    assertEquals(4, objections.size(), objections + "");
    assertTrue(objections.get(0).contains("twice"));
    assertTrue(objections.get(1).contains("has no turns-ratio"));
    assertTrue(objections.get(2).contains("4712"));
    assertTrue(objections.get(3).contains("no serial number"));
    assertThrows(IllegalArgumentException.class, () -> rule.verify(List.of(), "x", AT));
  }

  @Test
  @DisplayName(
      "A failure stands until the same standard passes it, or a calibration on a later day")
  void standing() {
    VerificationRule hundred = rule(ratio("100", "0.01"), "0.1");
    VerificationRule ten = rule(ratio("10", "0.001"), "0.1");
    InstrumentEvent failed = hundred.verify(List.of(turns("a", "101.000")), "x", AT);
    InstrumentStanding standing = InstrumentStanding.unknown(METER).after(failed);
    assertTrue(standing.objection(AT).orElseThrow().contains("R100"));
    assertTrue(
        standing
            .after(ten.verify(List.of(turns("b", "10.0000")), "x", AT))
            .objection(AT)
            .isPresent(),
        "another point says nothing of this one");
    assertTrue(
        standing
            .after(hundred.verify(List.of(turns("c", "100.099")), "x", AT))
            .objection(AT)
            .isPresent(),
        "undecided lifts nothing");
    assertEquals(
        Optional.empty(),
        standing.after(hundred.verify(List.of(turns("d", "100.000")), "x", AT)).objection(AT));
    assertTrue(standing.after(calibrated("2026-03-02")).objection(AT).isPresent(), "the same day");
    InstrumentStanding calibrated = standing.after(calibrated("2026-03-03"));
    assertEquals(Optional.empty(), calibrated.objection(AT));
    assertEquals(
        Optional.empty(),
        calibrated.objection(Instant.parse("2027-03-03T23:59:59Z")),
        "on the day");
    assertTrue(calibrated.objection(Instant.parse("2027-03-04T00:00:00Z")).isPresent());
    assertEquals(Optional.empty(), InstrumentStanding.unknown(METER).objection(AT));
  }

  @Test
  @DisplayName(
      "The chart's limits come from the first 20 verifications; a later drift is beyond them")
  void series() {
    VerificationRule rule = rule(ratio("100", "0.01"), "0.1");
    InstrumentHistory history = new InstrumentHistory(METER);
    for (int i = 0; i < 20; i++) {
      history.take(rule.verify(List.of(turns("r" + i, i % 2 == 0 ? "100.01" : "99.99")), "x", AT));
      List<VerificationSeries> so = history.series();
      assertEquals(i < 4 ? 0 : 2, so.get(0).charts().size());
    }
    history.take(rule(ratio("10", "0.01"), "0.1").verify(List.of(turns("t", "10")), "x", AT));
    history.take(rule.verify(List.of(turns("r20", "100.06")), "x", AT));
    assertEquals(2, history.series().size(), "another standard, another series");
    VerificationSeries series = history.series().get(0);
    var figures = series.charts().get(0);
    // mean 0, moving ranges all 0.02: limits ± 3 × 0.02 / 1.128 = ± 0.0532
    assertEquals(0, figures.centre().signum());
    assertEquals(0.0532, figures.points().get(0).upper().doubleValue(), 0.0001);
    assertEquals(List.of(21), figures.out().stream().map(p -> p.number()).toList());
    assertEquals(20, series.basis());
    assertTrue(series.sentences().get(0).contains("no. 21"), series.sentences() + "");
  }

  @Test
  @DisplayName("Deviations that are all the same have no limits, and no chart")
  void noScatter() {
    VerificationRule rule = rule(ratio("100", "0.01"), "0.1");
    List<InstrumentEvent.Verified> same = new ArrayList<>();
    for (int i = 0; i < 6; i++) {
      same.add(rule.verify(List.of(turns("r" + i, "100.0")), "x", AT));
    }
    VerificationSeries series = new VerificationSeries(Quantity.TURNS_RATIO, "R", "1", same);
    assertEquals(List.of(), series.charts());
    assertTrue(series.sentences().get(0).contains("all the same"));
  }

  private static InstrumentEvent calibrated(String day) {
    return new InstrumentEvent.Calibrated(
        "bay-1", AT, "x", METER, "C-2", "lab", LocalDate.parse(day), LocalDate.parse("2027-03-03"));
  }

  private static VerificationRule rule(ReferenceStandard standard, String percent) {
    return new VerificationRule(standard, Accuracy.ofReading(d(percent)), Optional.empty());
  }

  private static ReferenceStandard ratio(String value, String uncertainty) {
    return new ReferenceStandard(
        "R" + value,
        "1",
        ReferenceStandard.Kind.RATIO,
        d(value),
        Unit.ONE,
        d(uncertainty),
        d("2"),
        "C-1",
        DUE,
        NONE);
  }

  private static ReferenceStandard ohms(
      String value, String uncertainty, Optional<ReferenceStandard.Warmth> warmth) {
    return new ReferenceStandard(
        "R" + value,
        "1",
        ReferenceStandard.Kind.RESISTANCE,
        d(value),
        Unit.OHM,
        d(uncertainty),
        d("2"),
        "C-1",
        DUE,
        warmth);
  }

  private static RecordedReading turns(String id, String number) {
    return turns(id, number, AT);
  }

  private static RecordedReading turns(String id, String number, Instant at) {
    return reading(
        id,
        METER,
        new Value.Measured(Quantity.TURNS_RATIO, d(number), Unit.ONE),
        Reading.Status.OK,
        at);
  }

  private static RecordedReading ohms(String id, String number) {
    return reading(
        id,
        METER,
        new Value.Measured(Quantity.WINDING_RESISTANCE, d(number), Unit.OHM),
        Reading.Status.OK,
        AT);
  }

  private static RecordedReading reading(
      String id, Instrument instrument, Value value, Reading.Status status, Instant at) {
    return new RecordedReading(
        id,
        "bay-1",
        "line 1.0",
        new Reading(
            instrument,
            Optional.empty(),
            0,
            Map.of(),
            List.of(value),
            status,
            Optional.empty(),
            ClockQuality.NONE,
            at,
            ""));
  }

  private static BigDecimal d(String number) {
    return new BigDecimal(number);
  }
}
