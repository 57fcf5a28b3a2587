package org.tallywire.acceptance;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.math.BigInteger;
import java.util.ArrayList;
import java.util.Collections;
import java.util.HashSet;
import java.util.List;
import java.util.Optional;
import java.util.Random;
import java.util.Set;
import org.junit.jupiter.api.Test;
import org.tallywire.acceptance.Nameplate.ResistanceReference;
import org.tallywire.acceptance.Verdict.State;

class ExaminerPropertiesTest {

  private static final int ROUNDS = 400;

  /** A rational number, to compute over again without any rounding. */
  private record Fraction(BigInteger top, BigInteger bottom) {

    static Fraction of(BigDecimal number) {
      BigInteger power = BigInteger.TEN.pow(Math.abs(number.scale()));
      return number.scale() >= 0
          ? new Fraction(number.unscaledValue(), power)
          : new Fraction(number.unscaledValue().multiply(power), BigInteger.ONE);
    }

    static Fraction of(String number) {
      return of(new BigDecimal(number));
    }

    Fraction times(Fraction o) {
      return new Fraction(top.multiply(o.top), bottom.multiply(o.bottom));
    }

    Fraction over(Fraction o) {
      return new Fraction(top.multiply(o.bottom), bottom.multiply(o.top));
    }

    Fraction plus(Fraction o) {
      return new Fraction(
          top.multiply(o.bottom).add(o.top.multiply(bottom)), bottom.multiply(o.bottom));
    }

    Fraction minus(Fraction o) {
      return plus(new Fraction(o.top.negate(), o.bottom));
    }

    boolean atMost(Fraction o) {
      Fraction left = minus(o);
      return left.top.signum() * left.bottom.signum() <= 0;
    }

    Fraction size() {
      return new Fraction(top.abs(), bottom.abs());
    }

    /** Rounds to six decimals, ties to even, by whole numbers only. */
    BigDecimal sixDecimals() {
      int sign = top.signum() * bottom.signum();
      BigInteger[] parts =
          top.abs().multiply(BigInteger.TEN.pow(6)).divideAndRemainder(bottom.abs());
      int half = parts[1].shiftLeft(1).compareTo(bottom.abs());
      boolean up = half > 0 || (half == 0 && parts[0].testBit(0));
      BigInteger rounded = up ? parts[0].add(BigInteger.ONE) : parts[0];
      return new BigDecimal(sign < 0 ? rounded.negate() : rounded, 6);
    }

    State state(String limit, String uncertainty) {
      Fraction l = of(limit);
      Fraction u = of(uncertainty);
      if (size().atMost(l.minus(u))) {
        return State.PASS;
      }
      if (size().atMost(l)) {
        return State.CONDITIONAL_PASS;
      }
      return size().atMost(l.plus(u)) ? State.CONDITIONAL_FAIL : State.FAIL;
    }
  }

  private static String number(Random random, int least, int range, int decimals) {
    return BigDecimal.valueOf(least + random.nextInt(range), decimals).toPlainString();
  }

  @Test
  void ratioDeviationIsThatOfRationalNumbers() {
    Random random = new Random(Samples.seed());
    Nameplate plate = Samples.dyn11();
    Step step = Samples.step(plate, "turns-ratio/HV-LV/A/3");
    Fraction expected = Fraction.of(step.expected().orElseThrow());
    Set<State> seen = new HashSet<>();
    for (int i = 0; i < ROUNDS; i++) {
      String measured = number(random, 436_000, 8_000, 4);
      BookedReading booked = Samples.booked(step, 1, Samples.ratioValues(measured, "4"));
      Verdict v = Samples.judged(plate, List.of(booked), "ratio-deviation");
      Fraction exact =
          Fraction.of(measured).minus(expected).over(expected).times(Fraction.of("100"));
      assertEquals(Optional.of(exact.sixDecimals()), v.deviation(), measured);
      assertEquals(exact.state("0.4", "0.1"), v.state(), measured);
      seen.add(v.state());
    }
    assertEquals(4, seen.size(), "the readings should reach every state: " + seen);
  }

  @Test
  void resistanceFiguresAreThoseOfRationalNumbers() {
    Random random = new Random(Samples.seed());
    Nameplate plate =
        Samples.plate(
            "Dyn11",
            "433",
            Optional.empty(),
            List.of(new ResistanceReference("HV", "C", Samples.n("1.2000"))),
            11000);
    TestPlan plan = TestPlan.of(plate);
    Set<State> seen = new HashSet<>();
    for (int i = 0; i < ROUNDS; i++) {
      List<BookedReading> three = new ArrayList<>();
      List<Fraction> corrected = new ArrayList<>();
      for (String phase : Step.PHASES) {
        String ohms = number(random, 9_780, 300, 4);
        String celsius = number(random, 190, 20, 1);
        Step step = plan.step("winding-resistance/HV/" + phase + "/1").orElseThrow();
        three.add(
            Samples.booked(step, 3 * i + three.size(), Samples.resistanceValues(ohms, celsius)));
        corrected.add(
            Fraction.of(ohms)
                .times(Fraction.of("309.5"))
                .over(Fraction.of("234.5").plus(Fraction.of(celsius))));
      }
      Verdict deviation = Samples.judged(plate, three, "resistance-deviation");
      Fraction reference = Fraction.of("1.2000");
      Fraction off = corrected.get(2).minus(reference).over(reference).times(Fraction.of("100"));
      assertEquals(Optional.of(off.sixDecimals()), deviation.deviation());
      assertEquals(off.state("2", "0.5"), deviation.state());
      Verdict unbalance = Samples.judged(plate, three, "resistance-unbalance");
      Fraction spread = spread(corrected);
      assertEquals(Optional.of(spread.sixDecimals()), unbalance.deviation());
      assertEquals(spread.state("2", "0.3"), unbalance.state());
      seen.add(unbalance.state());
    }
    assertEquals(4, seen.size(), "the readings should reach every state: " + seen);
  }

  private static Fraction spread(List<Fraction> three) {
    Fraction highest = three.stream().reduce((a, b) -> a.atMost(b) ? b : a).orElseThrow();
    Fraction lowest = three.stream().reduce((a, b) -> a.atMost(b) ? a : b).orElseThrow();
    Fraction sum = three.stream().reduce(Fraction::plus).orElseThrow();
    return highest.minus(lowest).times(Fraction.of("300")).over(sum);
  }

  @Test
  void permutingPhasesChangesNeitherFigureNorState() {
    Random random = new Random(Samples.seed());
    Nameplate plate = Samples.dyn11();
    for (int i = 0; i < ROUNDS; i++) {
      List<String> three = new ArrayList<>();
      for (int p = 0; p < 3; p++) {
        three.add(number(random, 400, 150, 1));
      }
      List<String> other = new ArrayList<>(three);
      Collections.shuffle(other, random);
      Verdict here = unbalance(plate, three);
      Verdict there = unbalance(plate, other);
      assertEquals(here.deviation(), there.deviation());
      assertEquals(here.state(), there.state());
      Verdict excited = excitation(plate, three);
      Verdict permuted = excitation(plate, other);
      assertEquals(excited.deviation(), permuted.deviation());
      assertEquals(excited.state(), permuted.state());
    }
  }

  @Test
  void scalingAllThreeChangesNeitherFigureNorState() {
    Random random = new Random(Samples.seed());
    Nameplate plate = Samples.dyn11();
    for (int i = 0; i < ROUNDS; i++) {
      BigDecimal scale = BigDecimal.valueOf(1 + random.nextInt(9_999), random.nextInt(8));
      List<String> three = new ArrayList<>();
      List<String> scaled = new ArrayList<>();
      for (int p = 0; p < 3; p++) {
        String ohms = number(random, 980, 40, 3);
        three.add(ohms);
        scaled.add(new BigDecimal(ohms).multiply(scale).toPlainString());
      }
      Verdict here = unbalance(plate, three);
      Verdict there = unbalance(plate, scaled);
      assertEquals(here.state(), there.state());
      BigDecimal apart =
          here.deviation().orElseThrow().subtract(there.deviation().orElseThrow()).abs();
      assertTrue(apart.compareTo(Samples.n("0.000001")) <= 0, () -> "off by " + apart);
    }
  }

  private static Verdict unbalance(Nameplate plate, List<String> three) {
    return Samples.judged(
        plate, Samples.resistances(plate, three.toArray(new String[0])), "resistance-unbalance");
  }

  private static Verdict excitation(Nameplate plate, List<String> three) {
    return Samples.judged(
        plate, Samples.excitation(plate, 3, three.toArray(new String[0])), "excitation-pattern");
  }

  @Test
  void theSameInputsMakeTheSameVerdictWhicheverCameLastAndInWhateverOrder() {
    Random random = new Random(Samples.seed());
    Nameplate plate = Samples.dyn11();
    List<BookedReading> current =
        new ArrayList<>(Samples.excitation(plate, 3, "42.1", "28.9", "43.6"));
    current.addAll(Samples.excitation(plate, 2, "42.1", "28.9", "43.6"));
    current.addAll(Samples.resistances(plate, "1.00", "1.02", "0.98"));
    Examiner examiner = new Examiner("set-1", plate, Samples.table());
    Set<Verdict> patterns = new HashSet<>();
    Set<Verdict> balances = new HashSet<>();
    for (int i = 0; i < 50; i++) {
      Collections.shuffle(current, random);
      for (BookedReading newest : current) {
        for (Verdict v : Samples.examine(examiner, newest, current)) {
          if (v.subject().equals("turns-ratio/HV-LV/3")) {
            patterns.add(v);
          } else if (v.criterion().equals("resistance-unbalance")) {
            balances.add(v);
          }
        }
      }
    }
    assertEquals(1, patterns.size());
    assertEquals(1, balances.size());
    assertEquals(3, balances.iterator().next().readings().size());
  }

  @Test
  void comparisonsWaitForTheThirdPhase() {
    Nameplate plate = Samples.dyn11();
    List<BookedReading> three = Samples.excitation(plate, 3, "42.1", "28.9", "43.6");
    Examiner examiner = new Examiner("set-1", plate, Samples.table());
    assertEquals(
        List.of("ratio-deviation", "phase-displacement"),
        names(Samples.examine(examiner, three.get(1), three.subList(0, 2))));
    assertEquals(
        List.of("ratio-deviation", "phase-displacement", "excitation-pattern"),
        names(Samples.examine(examiner, three.get(2), three.subList(0, 2))));
    // of another tap none is taken
    assertEquals(
        2,
        Samples.examine(examiner, Samples.excitation(plate, 4, "1", "1", "1").get(0), three)
            .size());
  }

  private static List<String> names(List<Verdict> verdicts) {
    return verdicts.stream().map(Verdict::criterion).toList();
  }

  @Test
  void aRetakeReplacesTheEarlierReading() {
    Nameplate plate = Samples.dyn11();
    List<BookedReading> three = Samples.excitation(plate, 3, "42.1", "28.9", "60");
    BookedReading again =
        Samples.booked(three.get(2).step(), 99, Samples.ratioValues("44.0013", "43.6"));
    Verdict v =
        Samples.verdict(
            Samples.examine(new Examiner("set-1", plate, Samples.table()), again, three),
            "excitation-pattern");
    assertEquals(State.PASS, v.state());
    assertEquals(again.id(), v.readings().get(2));
  }

  @Test
  void onlyCriteriaOfTheTableAreJudged() {
    Nameplate plate = Samples.dyn11();
    List<BookedReading> three = Samples.excitation(plate, 3, "42.1", "28.9", "43.6");
    CriteriaTable table = Samples.table(Samples.ratioDeviation("0.5", false));
    assertEquals(
        List.of("ratio-deviation"),
        names(Samples.examine(new Examiner("set-1", plate, table), three.get(2), three)));
  }

  @Test
  void anIdChangesWithEachThingTheVerdictIsMadeOf() {
    Nameplate plate = Samples.dyn11();
    Step step = Samples.step(plate, "turns-ratio/HV-LV/A/3");
    BookedReading booked = Samples.booked(step, 1, Samples.ratioValues("44.0013", "4"));
    CriteriaTable table = Samples.table();
    String id = id(plate, booked, table);
    assertTrue(id.startsWith("verdict:"), id);
    assertEquals(id, id(plate, booked, table));
    Set<String> ids = new HashSet<>(Set.of(id));
    ids.add(id(plate, new BookedReading(booked.recorded(), "booking:other", step), table));
    ids.add(id(plate, Samples.booked(step, 2, Samples.ratioValues("44.0013", "4")), table));
    ids.add(id(plate, booked, named("b", "7", table.digest())));
    ids.add(id(plate, booked, named("invented", "8", table.digest())));
    ids.add(id(plate, booked, named("invented", "7", "f")));
    assertEquals(6, ids.size(), ids.toString());
    List<Verdict> both =
        Samples.examine(new Examiner("set-1", plate, table), booked, List.of(booked));
    assertNotEquals(both.get(0).id(), both.get(1).id());
  }

  private static CriteriaTable named(String name, String version, String digest) {
    CriteriaTable same = Samples.table();
    return new CriteriaTable(
        name,
        version,
        digest,
        same.decision(),
        same.conductors(),
        same.accuracies(),
        same.criteria());
  }

  private static String id(Nameplate plate, BookedReading booked, CriteriaTable table) {
    return Samples.verdict(
            Samples.examine(new Examiner("set-1", plate, table), booked, List.of(booked)),
            "ratio-deviation")
        .id();
  }
}
