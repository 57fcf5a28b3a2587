package org.tallywire.acceptance.uncertainty;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.util.Random;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.tallywire.acceptance.Rounds;

/** Probability of conformity and specific risk. */
class ConformityTest {

  private static BigDecimal n(String number) {
    return new BigDecimal(number);
  }

  // from memory, recomputed; printed 92 %
  @Test
  @DisplayName("JCGM 106: Zener voltage of -5.47 V against at most -5.40 V")
  void zenerVoltage() {
    Conformity zener = Conformity.atMost(n("-5.47"), n("0.05"), n("-5.40"));
    assertEquals(n("0.91924334"), zener.inside());
    assertEquals(n("0.08075666"), zener.outside());
    assertEquals(n("0.08075666"), zener.above());
    assertEquals(n("0E-8"), zener.below());
    assertEquals(n("0.91924334"), Conformity.atLeast(n("5.47"), n("0.05"), n("5.40")).inside());
    assertEquals(n("0.08075666"), Conformity.atLeast(n("5.47"), n("0.05"), n("5.40")).below());
  }

  // found in a general calculator's test ("compared against ... risk spreadsheet"); recomputed
  @ParameterizedTest
  @CsvSource({
    "10,0.4,0.01241933,0.00620967,0.00620967",
    "10.5,0.4,0.10573819,0.00008842,0.10564977",
    "12,0.4,0.99379033,0,0.99379033",
    "8,0.4,0.99379033,0.99379033,0"
  })
  void specificRisk(
      BigDecimal y, BigDecimal u, BigDecimal total, BigDecimal below, BigDecimal above) {
    Conformity conformity = Conformity.between(y, u, n("9"), n("11"));
    assertEquals(0, below.compareTo(conformity.below()), conformity.toString());
    assertEquals(0, above.compareTo(conformity.above()), conformity.toString());
    // the parts are rounded before they are added
    assertTrue(
        total.subtract(conformity.outside()).abs().compareTo(n("1e-8")) <= 0,
        conformity.toString());
    assertEquals(BigDecimal.ONE.setScale(8), conformity.inside().add(conformity.outside()));
  }

  @Test
  void withoutUncertaintyTheLimitItselfDecides() {
    assertEquals(n("1.00000000"), Conformity.atMost(n("5"), n("0"), n("5.0")).inside());
    assertEquals(n("1.00000000"), Conformity.atMost(n("5.01"), n("0"), n("5")).above());
    assertEquals(n("1.00000000"), Conformity.between(n("5"), n("0"), n("5"), n("5")).inside());
    assertEquals(n("1.00000000"), Conformity.atLeast(n("4.99"), n("0"), n("5")).below());
  }

  @Test
  void farFromALimitNothingIsLeft() {
    assertEquals(n("0E-8"), Conformity.atMost(n("0"), n("1e-30"), n("1e30")).above());
    assertEquals(n("1.00000000"), Conformity.atMost(n("1e30"), n("1e-30"), n("0")).above());
    assertEquals(n("0.50000000"), Conformity.atMost(n("7"), n("1"), n("7")).above());
    assertEquals(n("0.00000029"), Conformity.atMost(n("0"), n("1"), n("5")).above());
    assertEquals(n("0.99999971"), Conformity.atMost(n("5"), n("1"), n("0")).above());
    assertEquals(n("0E-8"), Conformity.atMost(n("0"), n("1"), n("8")).above());
  }

  @Test
  void mirroredFiguresHaveMirroredRisks() {
    long seed = 106;
    Random random = new Random(seed);
    for (int i = 0; i < Rounds.of(300); i++) {
      BigDecimal y = BigDecimal.valueOf(random.nextInt(4001) - 2000, 3);
      BigDecimal u = BigDecimal.valueOf(1 + random.nextInt(1000), 3);
      BigDecimal wider = u.add(n("0.05"));
      Conformity one = Conformity.between(y, u, n("-1"), n("1"));
      Conformity mirrored = Conformity.between(y.negate(), u, n("-1"), n("1"));
      Conformity scaled =
          Conformity.between(y.movePointRight(6), u.movePointRight(6), n("-1000000"), n("1000000"));
      String seen = "seed %d, y %s, u %s".formatted(seed, y, u);
      assertEquals(one.above(), mirrored.below(), seen);
      assertEquals(one, scaled, seen);
      if (y.abs().compareTo(BigDecimal.ONE) <= 0) {
        Conformity less = Conformity.between(y, wider, n("-1"), n("1"));
        assertTrue(less.inside().compareTo(one.inside()) <= 0, seen);
      }
    }
  }

  // found in a general calculator's test ("values in Deaver"), recomputed: true values N(0, 1)
  // within ±SL, measured with N(0, s), accepted within ±AL
  @ParameterizedTest
  @CsvSource({
    "2,2,0.25,0.008006,0.014851",
    "2.5,2.5,0.25,0.002445,-1",
    "2.5,2.5,1,0.004724,-1",
    "2,1.82,0.5,0.008052,0.066106"
  })
  @DisplayName("global risk: risks of single figures added up over a process")
  void globalRisk(
      BigDecimal limit, BigDecimal accepted, BigDecimal s, double falseAccept, double falseReject) {
    double accept = 0;
    double reject = 0;
    int steps = 4800; // so that the limits lie between two steps
    double width = 12.0 / steps;
    for (int i = 0; i < steps; i++) {
      double x = -6 + (i + 0.5) * width;
      double density = Math.exp(-x * x / 2) / Math.sqrt(2 * Math.PI) * width;
      Conformity measured =
          Conformity.between(BigDecimal.valueOf(x), s, accepted.negate(), accepted);
      if (Math.abs(x) > limit.doubleValue()) {
        accept += density * measured.inside().doubleValue();
      } else {
        reject += density * measured.outside().doubleValue();
      }
    }
    assertEquals(falseAccept, accept, 2e-6);
    if (falseReject >= 0) {
      assertEquals(falseReject, reject, 2e-6);
    }
  }

  @Test
  void whatCannotBeIsRefused() {
    assertEquals(
        "a standard uncertainty of -1 is below zero",
        assertThrows(
                IllegalArgumentException.class, () -> Conformity.atMost(n("0"), n("-1"), n("0")))
            .getMessage());
    assertEquals(
        "the lower limit 2 is above the upper limit 1",
        assertThrows(
                IllegalArgumentException.class,
                () -> Conformity.between(n("0"), n("1"), n("2"), n("1")))
            .getMessage());
  }
}
