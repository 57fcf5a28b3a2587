package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;
import java.util.List;
import java.util.Map;
import org.tallywire.acceptance.Criterion.Kind;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/** A bench that takes the ratios of one invented transformer, one after the other. */
final class RatioBench {

  private final Nameplate plate;
  private final TestPlan plan;
  private final Examiner examiner;
  private final Evidence evidence = new Evidence();
  private int second;

  RatioBench(Nameplate plate, Criterion... criteria) {
    this(plate, RatioBasis.TERMINALS, criteria);
  }

  RatioBench(Nameplate plate, RatioBasis basis, Criterion... criteria) {
    this.plate = plate;
    this.plan = TestPlan.of(plate, new PlanOptions(PlanOptions.USUAL.tests(), basis));
    this.examiner = new Examiner("set-1", plate, Samples.table(criteria));
  }

  static Criterion criterion(Kind kind, String limit, String uncertainty) {
    return Samples.criterion(kind, uncertainty, Map.of("limit", limit));
  }

  Nameplate plate() {
    return plate;
  }

  Step step(String where) {
    return Samples.step(plan, "turns-ratio/HV-LV/" + where);
  }

  BigDecimal expected(String where) {
    return step(where).expected().orElseThrow();
  }

  /** Returns what a step should read, off by so many per cent, to 9 digits. */
  String off(String where, String percent) {
    return expected(where)
        .multiply(Samples.n(percent).movePointLeft(2).add(BigDecimal.ONE))
        .round(new MathContext(9, RoundingMode.HALF_EVEN))
        .toPlainString();
  }

  List<Verdict> take(String where, Reading.Status status, Value... values) {
    second++;
    BookedReading booked = Samples.booked(step(where), second, status, values);
    evidence.book(booked);
    return examiner.examine(booked, evidence);
  }

  List<Verdict> take(String where, String ratio) {
    return take(where, Reading.Status.OK, Samples.value(Quantity.TURNS_RATIO, ratio, Unit.ONE));
  }

  List<Verdict> take(String where, String ratio, String degrees) {
    return take(
        where,
        Reading.Status.OK,
        Samples.value(Quantity.TURNS_RATIO, ratio, Unit.ONE),
        Samples.value(Quantity.PHASE_DISPLACEMENT, degrees, Unit.DEGREE));
  }

  /** Takes a reading and returns its only verdict. */
  Verdict judged(String where, String ratio) {
    return only(take(where, ratio));
  }

  /** Takes a reading that is off by so many per cent and returns its only verdict. */
  Verdict judgedOff(String where, String percent) {
    return judged(where, off(where, percent));
  }

  static Verdict only(List<Verdict> verdicts) {
    if (verdicts.size() != 1) {
      throw new AssertionError("not one verdict: " + verdicts);
    }
    return verdicts.get(0);
  }
}
