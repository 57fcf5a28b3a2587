package org.tallywire.acceptance.uncertainty;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.util.List;
import java.util.Optional;
import java.util.Random;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.function.Executable;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.tallywire.acceptance.Rounds;
import org.tallywire.acceptance.uncertainty.Decision.Rounding;

/** Outcomes of figures, limits and uncertainties (ILAC-G8:09/2019; boundaries: practice). */
class DecisionTest {

  private static final Decision GUARDED = Decision.guarded(BigDecimal.ONE);

  private static BigDecimal n(String number) {
    return new BigDecimal(number);
  }

  @ParameterizedTest
  @CsvSource({
    // the sheet's examples with limit 0.5 % (derived)
    "0.45,0.5,0.10,CONDITIONAL_PASS",
    "0.45,0.5,0.04,PASS",
    "0.52,0.5,0.10,CONDITIONAL_FAIL",
    "0.65,0.5,0.10,FAIL",
    // boundaries
    "0.4,0.5,0.1,PASS",
    "0.4000000000000000000000000000000001,0.5,0.1,CONDITIONAL_PASS",
    "0.500,0.5,0.1,CONDITIONAL_PASS",
    "0.5000000000000000000000000000000001,0.5,0.1,CONDITIONAL_FAIL",
    "0.6,0.5,0.1,CONDITIONAL_FAIL",
    "0.6000000000000000000000000000000001,0.5,0.1,FAIL",
    // no uncertainty: two states
    "10,10,0,PASS",
    "10.0000000001,10,0,FAIL",
    // more uncertainty than limit: never a plain pass
    "0,0.5,0.7,CONDITIONAL_PASS",
    "0,0,0,PASS"
  })
  void withinALimitOnBothSides(
      BigDecimal figure, BigDecimal limit, BigDecimal uncertainty, Outcome expected) {
    assertEquals(expected, GUARDED.decide(figure, limit, uncertainty, Bound.WITHIN));
    assertEquals(expected, GUARDED.decide(figure.negate(), limit, uncertainty, Bound.WITHIN));
  }

  @ParameterizedTest
  @CsvSource({
    "110,PASS",
    "109.9,CONDITIONAL_PASS",
    "100,CONDITIONAL_PASS",
    "99.9,CONDITIONAL_FAIL",
    "90,CONDITIONAL_FAIL",
    "89.9,FAIL",
    "-1000,FAIL"
  })
  void atLeastALimit(BigDecimal figure, Outcome expected) {
    assertEquals(expected, GUARDED.decide(figure, n("100"), n("10"), Bound.AT_LEAST));
    // and mirrored
    assertEquals(expected, GUARDED.decide(figure.negate(), n("-100"), n("10"), Bound.AT_MOST));
  }

  @ParameterizedTest
  @CsvSource({
    "-1000,PASS",
    "90,PASS",
    "90.1,CONDITIONAL_PASS",
    "100,CONDITIONAL_PASS",
    "100.1,CONDITIONAL_FAIL",
    "110,CONDITIONAL_FAIL",
    "110.1,FAIL"
  })
  void atMostALimit(BigDecimal figure, Outcome expected) {
    assertEquals(expected, GUARDED.decide(figure, n("100"), n("10"), Bound.AT_MOST));
  }

  @ParameterizedTest
  @CsvSource({"0.45,PASS", "0.5,PASS", "0.5000001,FAIL", "0.65,FAIL", "-0.65,FAIL"})
  void simpleAcceptanceDoesNotLookAtTheUncertainty(BigDecimal figure, Outcome expected) {
    for (String uncertainty : new String[] {"0", "0.1", "7"}) {
      assertEquals(
          expected, Decision.simple().decide(figure, n("0.5"), n(uncertainty), Bound.WITHIN));
    }
  }

  @ParameterizedTest
  @CsvSource({
    "1.5,0.35,PASS", "1.5,0.3501,CONDITIONAL_PASS", "0.83,0.417,PASS",
    "0.83,0.4171,CONDITIONAL_PASS", "0.83,0.583,CONDITIONAL_FAIL", "0.83,0.5831,FAIL"
  })
  void otherGuardFactors(BigDecimal factor, BigDecimal figure, Outcome expected) {
    assertEquals(
        expected, Decision.guarded(factor).decide(figure, n("0.5"), n("0.1"), Bound.WITHIN));
  }

  // example and rule from memory (ASTM E29; ties to even: ISO 80000-1 annex B rule A)
  @Test
  @DisplayName("E29: 0.5400 at a limit of 0.5 fails unrounded and passes rounded")
  void roundingMethod() {
    Decision absolute = Decision.simple();
    Decision rounded = absolute.rounding(Rounding.TO_LIMIT);
    assertEquals(Outcome.FAIL, outcome(absolute, "0.5400", "0.5"));
    assertEquals(Outcome.PASS, outcome(rounded, "0.5400", "0.5"));
    assertEquals(Outcome.FAIL, outcome(rounded, "0.5500", "0.5"));
    assertEquals(Outcome.PASS, outcome(rounded, "-0.5499", "0.5"));
    // the last place is that of the limit as written
    assertEquals(Outcome.FAIL, outcome(rounded, "0.5400", "0.50"));
    assertEquals(Outcome.PASS, outcome(rounded, "0.505", "0.50"));
    assertEquals(Outcome.FAIL, outcome(rounded, "0.515", "0.51"));
    assertEquals(Outcome.PASS, outcome(rounded, "1225.0", "122E+1"));
    assertEquals(Outcome.FAIL, outcome(rounded, "1235.0", "123E+1"));
    assertEquals(Outcome.PASS, outcome(rounded, "12.25", "12.2"));
    assertEquals(Outcome.PASS, outcome(rounded, "12.35", "12.4"));
    Decision guarded = GUARDED.rounding(Rounding.TO_LIMIT);
    assertEquals(
        Outcome.CONDITIONAL_PASS, guarded.decide(n("0.54"), n("0.5"), n("0.1"), Bound.WITHIN));
    assertEquals(Outcome.PASS, guarded.decide(n("0.449"), n("0.5"), n("0.1"), Bound.WITHIN));
    assertEquals(Rounding.TO_LIMIT, guarded.rounding());
    assertEquals(Rounding.ABSOLUTE, GUARDED.rounding());
  }

  private static Outcome outcome(Decision decision, String figure, String limit) {
    return decision.decide(n(figure), n(limit), BigDecimal.ZERO, Bound.WITHIN);
  }

  // memory, recomputed; with U = 1.96 u and with U = 2 u
  @ParameterizedTest
  @CsvSource({
    "1.5,1.96,0.00164106",
    "1,1.96,0.02499790",
    "0.83,1.96,0.05188979",
    "1.5,2,0.00134990",
    "1,2,0.02275013",
    "0.83,2,0.04845723",
    "0,2,0.50000000"
  })
  @DisplayName("ILAC-G8 table 1: guard factors and the risk they leave")
  void risks(BigDecimal factor, BigDecimal coverage, BigDecimal risk) {
    assertEquals(risk, Decision.guarded(factor).risk(coverage));
  }

  @Test
  @DisplayName("ILAC-G8 table 1: three times U leaves less than one in a million")
  void sixSigma() {
    assertTrue(Decision.guarded(n("3")).risk(n("1.96")).compareTo(n("0.000001")) < 0);
  }

  @Test
  void theRiskIsThatOfAFigureOnTheAcceptanceLimit() {
    // accepted at 0.4 with limit 0.5 and U = 0.1, k = 2
    Conformity worst = Conformity.between(n("0.4"), n("0.05"), n("-0.5"), n("0.5"));
    assertEquals(GUARDED.risk(n("2")), worst.outside());
  }

  @Test
  void saysItsRuleAndRisk() {
    assertEquals(
        "Simple acceptance: the figure, not rounded, passes up to the limit and fails beyond it; a"
            + " pass may be false with a risk of up to 50 %.",
        Decision.simple().text());
    assertEquals(
        "Guard band of 1 times the expanded uncertainty (k = 2): the figure, rounded to the last"
            + " place of the limit with ties to even, passes up to that short of the limit, passes"
            + " conditionally up to the limit, fails conditionally up to that beyond it, and fails"
            + " beyond that; a pass may be false with a risk of up to 2.3 %, a conditional pass of"
            + " up to 50 %.",
        Decision.guarded(n("1.0")).rounding(Rounding.TO_LIMIT).text());
    assertTrue(Decision.guarded(n("0.83")).text().contains("of up to 4.9 %, a"));
    assertEquals(GUARDED.text(), GUARDED.toString());
  }

  @Test
  void saysItsSource() {
    assertEquals(
        "ILAC-G8:09/2019 (simple acceptance and its risk found; boundary on the better side:"
            + " practice), ASTM E29 absolute method (from memory)",
        Decision.simple().source());
    assertEquals(
        "ILAC-G8:09/2019 (guard band and the risk of one U found; other factors and the names of"
            + " the four states from memory; boundary on the better side: practice), ASTM E29"
            + " rounding method and ISO 80000-1 annex B rule A (from memory)",
        GUARDED.rounding(Rounding.TO_LIMIT).source());
  }

  @ParameterizedTest
  @CsvSource({
    // 0.05 to the limit: U up to 0.05 is a pass
    "1,0.45,0.050", "1,-0.45,0.050", "2,0.45,0.025", "1,0.467,0.033", "1.5,0.45,0.033",
    // beyond the limit U has to be less than the distance
    "1,0.53,0.029", "1,0.52,0.019", "1,0.51,0.0099", "2,0.53,0.014", "1,0.5333,0.033",
    "3,0.51,0.0033"
  })
  void saysWhichUncertaintyWouldDecide(BigDecimal guard, BigDecimal figure, BigDecimal most) {
    Optional<BigDecimal> decisive =
        Decision.guarded(guard).decisive(figure, n("0.5"), Bound.WITHIN);
    assertEquals(0, most.compareTo(decisive.orElseThrow()), decisive.toString());
  }

  @Test
  void onTheLimitOrWithoutGuardBandNoUncertaintyDecides() {
    assertEquals(Optional.empty(), GUARDED.decisive(n("0.50"), n("0.5"), Bound.WITHIN));
    assertEquals(Optional.empty(), Decision.simple().decisive(n("0.4"), n("0.5"), Bound.WITHIN));
    assertEquals(
        Optional.empty(),
        GUARDED.rounding(Rounding.TO_LIMIT).decisive(n("0.54"), n("0.5"), Bound.WITHIN));
  }

  @Test
  void whatIsSaidToDecideDecides() {
    long seed = 17025;
    Random random = new Random(seed);
    for (int i = 0; i < Rounds.of(1000); i++) {
      Decision decision =
          Decision.guarded(BigDecimal.valueOf(1 + random.nextInt(300), 2))
              .rounding(random.nextBoolean() ? Rounding.ABSOLUTE : Rounding.TO_LIMIT);
      Bound bound = List.of(Bound.values()).get(random.nextInt(3));
      BigDecimal figure = BigDecimal.valueOf(random.nextInt(2001) - 1000, 3);
      BigDecimal limit = BigDecimal.valueOf(1 + random.nextInt(99), 2);
      String seen =
          "seed %d, %s, %s, figure %s, limit %s"
              .formatted(seed, decision.guard(), bound, figure, limit);
      Optional<BigDecimal> decisive = decision.decisive(figure, limit, bound);
      if (decisive.isEmpty()) {
        assertEquals(
            Outcome.CONDITIONAL_PASS, decision.decide(figure, limit, n("1e-9"), bound), seen);
        continue;
      }
      BigDecimal most = decisive.orElseThrow();
      assertFalse(decision.decide(figure, limit, most, bound).conditional(), seen);
      // a tenth more (its second digit and one) does not
      assertTrue(
          decision.decide(figure, limit, most.multiply(n("1.1001")), bound).conditional(), seen);
    }
  }

  @Test
  void moreUncertaintyNeverMakesAnOutcomeSurer() {
    long seed = 98;
    Random random = new Random(seed);
    for (int i = 0; i < Rounds.of(500); i++) {
      BigDecimal figure = BigDecimal.valueOf(random.nextInt(2001) - 1000, 3);
      BigDecimal limit = BigDecimal.valueOf(1 + random.nextInt(99), 2);
      BigDecimal less = BigDecimal.valueOf(random.nextInt(500), 3);
      BigDecimal more = less.add(BigDecimal.valueOf(random.nextInt(200), 3));
      for (Bound bound : Bound.values()) {
        Outcome one = GUARDED.decide(figure, limit, less, bound);
        Outcome other = GUARDED.decide(figure, limit, more, bound);
        String seen =
            "seed %d, %s, figure %s, limit %s, U %s and %s"
                .formatted(seed, bound, figure, limit, less, more);
        assertEquals(kept(one), kept(other), seen);
        assertFalse(one.conditional() && !other.conditional(), seen);
        assertEquals(
            one,
            GUARDED.decide(
                figure.movePointLeft(7), limit.movePointLeft(7), less.movePointLeft(7), bound),
            seen);
      }
    }
  }

  private static boolean kept(Outcome outcome) {
    return outcome == Outcome.PASS || outcome == Outcome.CONDITIONAL_PASS;
  }

  @Test
  void decisionsAreValues() {
    assertEquals(Decision.guarded(n("1.00")), GUARDED);
    assertEquals(Decision.guarded(n("1.00")).hashCode(), GUARDED.hashCode());
    assertEquals(n("1"), Decision.guarded(n("1.00")).guard());
    assertEquals(Decision.simple(), Decision.guarded(n("0.000")));
    assertEquals(n("0"), Decision.guarded(n("0.000")).guard());
    assertNotEquals(Decision.simple(), GUARDED);
    assertNotEquals(GUARDED, GUARDED.rounding(Rounding.TO_LIMIT));
    assertNotEquals(GUARDED.hashCode(), GUARDED.rounding(Rounding.TO_LIMIT).hashCode());
    assertFalse(GUARDED.equals(new Object()));
    assertFalse(Outcome.PASS.conditional());
    assertTrue(Outcome.CONDITIONAL_FAIL.conditional());
  }

  @Test
  void whatCannotBeIsRefused() {
    refused(
        "a guard band of -1 times the uncertainty is below zero", () -> Decision.guarded(n("-1")));
    refused(
        "an expanded uncertainty of -0.1 is below zero",
        () -> GUARDED.decide(n("0"), n("1"), n("-0.1"), Bound.WITHIN));
    refused(
        "a limit of -1 on both sides of zero is below zero",
        () -> GUARDED.decide(n("0"), n("-1"), n("0"), Bound.WITHIN));
    refused(
        "a limit of -1 on both sides of zero is below zero",
        () -> GUARDED.decisive(n("0"), n("-1"), Bound.WITHIN));
    refused("a coverage factor of 0 is not above zero", () -> GUARDED.risk(n("0")));
    assertEquals(Outcome.PASS, GUARDED.decide(n("0"), n("-1"), n("0"), Bound.AT_LEAST));
  }

  private static void refused(String sentence, Executable what) {
    assertEquals(sentence, assertThrows(IllegalArgumentException.class, what).getMessage());
  }
}
