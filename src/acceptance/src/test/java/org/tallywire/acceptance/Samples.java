package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.math.RoundingMode;
import java.time.Instant;
import java.util.ArrayList;
import java.util.Arrays;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.tallywire.acceptance.Criterion.ExcitationPattern;
import org.tallywire.acceptance.Criterion.PhaseDisplacement;
import org.tallywire.acceptance.Criterion.RatioDeviation;
import org.tallywire.acceptance.Criterion.ResistanceDeviation;
import org.tallywire.acceptance.Criterion.ResistanceUnbalance;
import org.tallywire.acceptance.Nameplate.ResistanceReference;
import org.tallywire.acceptance.Nameplate.Tap;
import org.tallywire.acceptance.resistance.Conductor;
import org.tallywire.acceptance.winding.WindingGroup;
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
    List<Tap> all = new ArrayList<>();
    for (int i = 0; i < taps.length; i++) {
      all.add(new Tap(i + 1, BigDecimal.valueOf(taps[i])));
    }
    int principal = (taps.length + 1) / 2;
    return new Nameplate(
        "INVENTED-1",
        WindingGroup.parse(group),
        n("500"),
        BigDecimal.valueOf(taps[principal - 1]),
        n(lv),
        n("50"),
        all,
        principal,
        Conductor.COPPER,
        Conductor.ALUMINIUM,
        n("75"),
        impedance,
        references);
  }

  static CriteriaTable table() {
    return table(
        new RatioDeviation(n("0.5"), true, n("0.1"), RULE),
        new PhaseDisplacement(n("1.0"), n("0.05"), RULE),
        new ExcitationPattern(n("50"), n("10"), n("5"), n("0"), RULE),
        new ResistanceDeviation(n("2"), n("0.5"), RULE),
        new ResistanceUnbalance(n("2"), n("0.3"), RULE));
  }

  static CriteriaTable table(Criterion... criteria) {
    return new CriteriaTable("invented", "7", "0".repeat(64), List.of(criteria));
  }

  static RatioDeviation ratioDeviation(String limit, boolean tenth) {
    return new RatioDeviation(n(limit), tenth, n("0.1"), RULE);
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
    String id = "bay-2:e1:" + second + ":0";
    return new BookedReading(
        new RecordedReading(id, "bay-2", "line 1.0", reading), "booking:" + second, step);
  }

  static Step step(Nameplate nameplate, String id) {
    return step(TestPlan.of(nameplate), id);
  }

  private static Step step(TestPlan plan, String id) {
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
    return verdict(examiner.examine(readings.get(readings.size() - 1), readings), criterion);
  }

  /** Returns a seed: the one given as system property {@code seed}, else a new one; prints it. */
  static long seed() {
    long seed = Long.getLong("seed", System.nanoTime());
    System.out.println("seed=" + seed);
    return seed;
  }
}
