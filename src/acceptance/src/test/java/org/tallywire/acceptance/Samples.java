package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.math.RoundingMode;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.tallywire.acceptance.Criterion.Kind;
import org.tallywire.acceptance.Nameplate.ResistanceReference;
import org.tallywire.acceptance.resistance.ConductorConstants;
import org.tallywire.acceptance.uncertainty.Decision;
import org.tallywire.api.ClockQuality;
import org.tallywire.api.Instrument;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.RecordedReading;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/** Invented transformers, tables and readings. */
final class Samples {

  static final Instant START = Instant.parse("2026-11-25T09:00:00Z");

  private static final Rule RULE = new Rule("invented", "this test", Rule.Certainty.PRACTICE);

  private Samples() {}

  static BigDecimal n(String number) {
    return new BigDecimal(number);
  }

  /** Returns an 11000/433 V Dyn11 transformer with ±2 × 2.5 % on HV, 4 % impedance. */
  static Nameplate dyn11() {
    return plate(
        "Dyn11", "433", Optional.of(n("4.00")), List.of(), 11550, 11275, 11000, 10725, 10450);
  }

  /** Returns a transformer whose HV voltage is that of the middle tap. */
  static Nameplate plate(
      String group,
      String lv,
      Optional<BigDecimal> impedance,
      List<ResistanceReference> references,
      int... taps) {
    SamplePlate plate =
        new SamplePlate()
            .taps(Arrays.stream(taps).mapToObj(Integer::toString).toArray(String[]::new));
    plate.group = group;
    plate.lv = lv;
    plate.impedance = impedance.map(BigDecimal::toPlainString);
    plate.references = references;
    return plate.plate();
  }

  static CriteriaTable table() {
    return table(
        ratioDeviation("0.5", true),
        criterion(Kind.PHASE_DISPLACEMENT, "0.05", Map.of("limit", "1.0")),
        criterion(
            Kind.EXCITATION_PATTERN,
            "0",
            Map.of("threshold", "50", "limit-up-to", "10", "limit-above", "5")),
        criterion(Kind.RESISTANCE_DEVIATION, "0.5", Map.of("limit", "2")),
        criterion(Kind.RESISTANCE_UNBALANCE, "0.3", Map.of("limit", "2")));
  }

  static CriteriaTable table(Criterion... criteria) {
    return new CriteriaTable(
        "invented",
        "7",
        "0".repeat(64),
        Decision.guarded(BigDecimal.ONE),
        ConductorConstants.IEEE,
        Map.of(),
        List.of(criteria));
  }

  static Criterion criterion(Kind kind, String uncertainty, Map<String, String> settings) {
    return new Criterion(kind, settings, Optional.of(n(uncertainty)), RULE);
  }

  static Criterion ratioDeviation(String limit, boolean tenth) {
    return criterion(
        Kind.RATIO_DEVIATION,
        "0.1",
        Map.of("limit", limit, "tenth-of-impedance", Boolean.toString(tenth)));
  }

  static Evidence evidence(Iterable<BookedReading> readings) {
    Evidence evidence = new Evidence();
    readings.forEach(evidence::book);
    return evidence;
  }

  /** Returns the verdicts that a reading makes possible, with others there before it. */
  static List<Verdict> examine(
      Examiner examiner, BookedReading newest, Iterable<BookedReading> others) {
    Evidence evidence = evidence(others);
    evidence.book(newest);
    return examiner.examine(newest, evidence);
  }

  static Value value(Quantity quantity, String number, Unit unit) {
    return new Value.Measured(quantity, n(number), unit);
  }

  static Value[] ratioValues(String ratio, String milliamperes) {
    return new Value[] {
      value(Quantity.TURNS_RATIO, ratio, Unit.ONE),
      value(Quantity.EXCITATION_CURRENT, milliamperes, Unit.MILLIAMPERE),
      value(Quantity.PHASE_DISPLACEMENT, "0.02", Unit.DEGREE),
      value(Quantity.TEST_VOLTAGE, "40.02", Unit.VOLT)
    };
  }

  static Value[] resistanceValues(String ohms, String celsius) {
    return new Value[] {
      value(Quantity.WINDING_RESISTANCE, ohms, Unit.OHM),
      value(Quantity.WINDING_TEMPERATURE, celsius, Unit.CELSIUS)
    };
  }

  /** Returns a reading that arrived in the given second after the start. */
  static BookedReading booked(Step step, int second, Value... values) {
    return booked(step, second, Reading.Status.OK, values);
  }

  static BookedReading booked(Step step, int second, Reading.Status status, Value... values) {
    Reading reading =
        new Reading(
            Instrument.UNNAMED,
            Optional.empty(),
            0,
            Map.of(),
            Arrays.asList(values),
            status,
            Optional.empty(),
            ClockQuality.NONE,
            START.plusSeconds(second),
            "invented line " + second);
    String id = "bay-2:e1:" + second + (step.test().equals(Step.TURNS_RATIO) ? ":0" : ":1");
    return new BookedReading(
        new RecordedReading(id, "bay-2", "line 1.0", reading), "booking:" + id, step);
  }

  static Step step(Nameplate nameplate, String id) {
    return step(TestPlan.of(nameplate), id);
  }

  static Step step(TestPlan plan, String id) {
    return plan.step(id).orElseThrow();
  }

  static List<BookedReading> excitation(Nameplate plate, int tap, String... milliamperes) {
    TestPlan plan = TestPlan.of(plate);
    List<BookedReading> three = new ArrayList<>();
    for (int i = 0; i < 3; i++) {
      Step step = step(plan, "turns-ratio/HV-LV/%s/%d".formatted(Step.PHASES.get(i), tap));
      String ratio =
          step.expected().orElseThrow().setScale(4, RoundingMode.HALF_EVEN).toPlainString();
      three.add(booked(step, 10 * tap + i, ratioValues(ratio, milliamperes[i])));
    }
    return three;
  }

  /** Returns LV resistances at the reference temperature, so that nothing is corrected. */
  static List<BookedReading> resistances(Nameplate plate, String... ohms) {
    TestPlan plan = TestPlan.of(plate);
    List<BookedReading> three = new ArrayList<>();
    for (int i = 0; i < 3; i++) {
      Step step = step(plan, "winding-resistance/LV/" + Step.PHASES.get(i));
      three.add(booked(step, 1000 + i, resistanceValues(ohms[i], "75")));
    }
    return three;
  }

  static Verdict verdict(List<Verdict> verdicts, String criterion) {
    return verdicts.stream()
        .filter(v -> v.criterion().equals(criterion))
        .findFirst()
        .orElseThrow(() -> new AssertionError("no " + criterion + " in " + verdicts));
  }

  static Verdict judged(Nameplate plate, List<BookedReading> readings, String criterion) {
    Examiner examiner = new Examiner("set-1", plate, table());
    return verdict(examine(examiner, readings.get(readings.size() - 1), readings), criterion);
  }

  /** Returns a seed: the one given as system property {@code seed}, else a new one; prints it. */
  static long seed() {
    long seed = Long.getLong("seed", System.nanoTime());
    System.out.println("seed=" + seed);
    return seed;
  }
}
