package org.tallywire.acceptance.uncertainty;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;
import java.util.List;
import java.util.Optional;
import java.util.Random;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.tallywire.acceptance.Rounds;

/** The law of propagation, effective degrees of freedom and coverage factors. */
class BudgetTest {

  private static BigDecimal n(String number) {
    return new BigDecimal(number);
  }

  private static BigDecimal digits(BigDecimal number, int digits) {
    return number.round(new MathContext(digits, RoundingMode.HALF_EVEN));
  }

  private static Component known(String name, String u) {
    return Component.normal(name, n(u), BigDecimal.ONE);
  }

  private static Component known(String name, String u, int degreesOfFreedom) {
    return known(name, u).withDegreesOfFreedom(BigDecimal.valueOf(degreesOfFreedom));
  }

  // inputs and l = 50000838(32) nm found in a general calculator's documentation; 16.7, 2.92 and 93
  // from memory, recomputed
  @Test
  @DisplayName("GUM H.1: the end gauge")
  void endGauge() {
    Budget budget =
        Budget.of(
            known("standard", "25", 18),
            known("difference", "5.8", 24),
            known("comparator, random", "3.9", 5),
            known("comparator, systematic", "6.7", 8),
            Component.rectangular("expansion, difference", n("1e-6"))
                .withSensitivity(n("-50000623").multiply(n("-0.1")).negate())
                .withDegreesOfFreedom(n("50")),
            Component.rectangular("temperature, difference", n("0.05"))
                .withSensitivity(n("-50000623").multiply(n("11.5e-6")))
                .withDegreesOfFreedom(n("2")),
            Component.rectangular("expansion of the standard", n("2e-6"))
                .withSensitivity(BigDecimal.ZERO),
            Component.arcsine("temperature, cyclic", n("0.5")).withSensitivity(BigDecimal.ZERO));
    Uncertainty u = budget.combine(n("99"));
    assertEquals(n("2.886787"), digits(u.components().get(4).contribution().abs(), 7));
    assertEquals(n("16.599027"), digits(u.components().get(5).contribution().abs(), 8));
    assertEquals(n("31.6639"), digits(u.standard(), 6));
    assertEquals(n("16.7519"), digits(u.degreesOfFreedom().orElseThrow(), 6));
    assertEquals(n("2.9208"), u.coverageFactor());
    assertEquals(n("92.48"), digits(u.expanded(), 4));
    assertEquals(n("93"), digits(n("2.92").multiply(digits(u.standard(), 2)), 2));
    assertEquals(n("99"), u.level());
    assertEquals(budget.components(), u.components());
  }

  // data and results found (general calculators' tests and documentation)
  @Test
  @DisplayName("GUM H.2: resistance, reactance and impedance from readings taken together")
  void simultaneousReadings() {
    List<BigDecimal> volts = all("5.007", "4.994", "5.005", "4.990", "4.999");
    List<BigDecimal> amperes = all("0.019663", "0.019639", "0.019640", "0.019685", "0.019678");
    List<BigDecimal> radians = all("1.0456", "1.0438", "1.0468", "1.0428", "1.0433");
    Component v = Component.repeated("V", volts);
    Component i = Component.repeated("I", amperes);
    Component phi = Component.repeated("phi", radians);
    assertEquals(n("0.003209361"), digits(v.standardUncertainty(), 7));
    assertEquals(n("0.000009471008"), digits(i.standardUncertainty(), 7));
    assertEquals(n("0.000752064"), digits(phi.standardUncertainty(), 6));
    assertEquals(Optional.of(n("4")), v.degreesOfFreedom());
    Correlation vi = Correlation.ofReadings("V", volts, "I", amperes);
    Correlation vp = Correlation.ofReadings("V", volts, "phi", radians);
    Correlation ip = Correlation.ofReadings("I", amperes, "phi", radians);
    assertEquals(n("-0.355311"), digits(vi.coefficient(), 6));
    assertEquals(n("0.857624"), digits(vp.coefficient(), 6));
    assertEquals(n("-0.645111"), digits(ip.coefficient(), 6));

    double meanV = 4.9990;
    double meanI = 0.0196610;
    double meanPhi = 1.04446;
    double r = meanV * Math.cos(meanPhi) / meanI;
    double x = meanV * Math.sin(meanPhi) / meanI;
    double z = meanV / meanI;
    assertEquals(127.73217, r, 5e-6);
    assertEquals(219.84651, x, 5e-6);
    assertEquals(254.25970, z, 5e-6);
    double[] toR = {r / meanV, -r / meanI, -x};
    double[] toX = {x / meanV, -x / meanI, r};
    double[] toZ = {z / meanV, -z / meanI, 0};
    List<Component> inputs = List.of(v, i, phi);
    List<Correlation> together = List.of(vi, vp, ip);
    double uR = standard(inputs, together, toR);
    double uX = standard(inputs, together, toX);
    double uZ = standard(inputs, together, toZ);
    assertEquals(0.071071, uR, 5e-7);
    assertEquals(0.295582, uX, 5e-7);
    assertEquals(0.236336, uZ, 5e-7);
    // the uncertainty of a sum shows how its parts go together
    assertEquals(-0.588, correlation(standard(inputs, together, sum(toR, toX)), uR, uX), 5e-4);
    assertEquals(-0.485, correlation(standard(inputs, together, sum(toR, toZ)), uR, uZ), 5e-4);
    assertEquals(0.993, correlation(standard(inputs, together, sum(toX, toZ)), uX, uZ), 5e-4);
    assertEquals(Optional.of(n("4")), new Budget(inputs, together).combine().degreesOfFreedom());
  }

  private static double standard(
      List<Component> inputs, List<Correlation> together, double[] sensitivities) {
    List<Component> weighted =
        List.of(
            inputs.get(0).withSensitivity(BigDecimal.valueOf(sensitivities[0])),
            inputs.get(1).withSensitivity(BigDecimal.valueOf(sensitivities[1])),
            inputs.get(2).withSensitivity(BigDecimal.valueOf(sensitivities[2])));
    return new Budget(weighted, together).combine().standard().doubleValue();
  }

  private static double[] sum(double[] one, double[] other) {
    return new double[] {one[0] + other[0], one[1] + other[1], one[2] + other[2]};
  }

  private static double correlation(double ofSum, double one, double other) {
    return (ofSum * ofSum - one * one - other * other) / (2 * one * other);
  }

  private static List<BigDecimal> all(String... numbers) {
    return List.of(numbers).stream().map(BigDecimal::new).toList();
  }

  // from memory; the data reproduce the remembered results
  @Test
  @DisplayName("GUM 4.4.3: twenty temperatures")
  void repeatedReadings() {
    List<BigDecimal> readings =
        all(
            "96.90", "98.18", "98.25", "98.61", "99.03", "99.49", "99.56", "99.74", "99.89",
            "100.07", "100.33", "100.42", "100.68", "100.95", "101.11", "101.20", "101.57",
            "101.84", "102.36", "102.72");
    Component mean = Component.repeated("temperature", readings);
    assertEquals(n("0.33292"), digits(mean.standardUncertainty(), 5));
    assertEquals(
        n("1.4888"),
        digits(
            mean.standardUncertainty()
                .multiply(BigDecimal.valueOf(20).sqrt(MathContext.DECIMAL128)),
            5));
    assertEquals(Optional.of(n("19")), mean.degreesOfFreedom());
    assertEquals("repeated", mean.distribution().word());
    assertEquals(BigDecimal.ONE, mean.sensitivity());
  }

  // from memory, recomputed; printed 1.03, 19.0 and 2.2
  @Test
  @DisplayName("GUM G.4.1: Welch-Satterthwaite")
  void effectiveDegreesOfFreedom() {
    Uncertainty u =
        Budget.of(known("a", "0.25", 9), known("b", "0.57", 4), known("c", "0.82", 14))
            .combine(n("95"));
    assertEquals(n("1.02947"), digits(u.standard(), 6));
    assertEquals(n("18.9987"), digits(u.degreesOfFreedom().orElseThrow(), 6));
    // cut to 18, as the formula's result is never rounded up: 2.1009 where GUM has 2.0930 of 19.0
    assertEquals(n("2.1009"), u.coverageFactor());
    assertEquals(n("2.0930"), Coverage.factor(n("95"), Optional.of(n("19.0"))));
    assertEquals(n("2.1547"), digits(n("2.0930").multiply(u.standard()), 5));
  }

  // found in a general calculator's test of the table; recomputed
  @ParameterizedTest
  @CsvSource({
    "68.27,1,1.84,1.8374",
    "95,1,12.71,12.7062",
    "99.73,5,5.51,5.5070",
    "90,20,1.72,1.7247",
    "95,20,2.09,2.0860",
    "99.73,2,19.21,19.2060",
    "99,11,3.11,3.1058",
    "90,10,1.81,1.8125",
    "99.73,1,235.80,235.7837"
  })
  @DisplayName("GUM table G.2")
  void coverageFactors(String level, String freedom, String printed, String computed) {
    BigDecimal factor = Coverage.factor(n(level), Optional.of(n(freedom)));
    assertEquals(n(computed), factor);
    if (!freedom.equals("1") || !level.equals("99.73")) {
      assertEquals(n(printed), factor.setScale(2, RoundingMode.HALF_EVEN));
    } else {
      assertEquals(n("235.8"), factor.setScale(1, RoundingMode.HALF_EVEN));
    }
  }

  @Test
  @DisplayName("GUM table G.2: 95.45 % and infinity is 2.00; cut down, and the far end joined")
  void coverageFactorsOfTheUsualLevel() {
    assertEquals(n("2.0000"), Coverage.factor(n("95.45"), Optional.empty()));
    assertEquals(n("1.9600"), Coverage.factor(n("95"), Optional.empty()));
    assertEquals(n("13.9678"), Coverage.factor(n("95.45"), Optional.of(n("1"))));
    assertEquals(n("13.9678"), Coverage.factor(n("95.45"), Optional.of(n("1.999999"))));
    assertEquals(n("4.5266"), Coverage.factor(n("95.45"), Optional.of(n("2"))));
    // asked again it is the same, and kept factors join those that are not
    assertEquals(n("4.5266"), Coverage.factor(n("95.450"), Optional.of(n("2.9"))));
    assertEquals(n("4.3027"), Coverage.factor(n("95"), Optional.of(n("2"))));
    assertEquals(n("2.0003"), Coverage.factor(n("95.45"), Optional.of(n("9999"))));
    assertEquals(n("2.0003"), Coverage.factor(n("95.45"), Optional.of(n("10000"))));
    assertEquals(n("2.0000"), Coverage.factor(n("95.45"), Optional.of(n("100000"))));
    assertEquals(n("2.0000"), Coverage.factor(n("95.45"), Optional.of(n("100000.1"))));
    assertEquals(n("2.0000"), Coverage.factor(n("95.45"), Optional.of(n("1e30"))));
  }

  @ParameterizedTest
  @CsvSource({"0", "100", "-5", "101"})
  void levelsThatCannotBeAreRefused(String level) {
    IllegalArgumentException e =
        assertThrows(
            IllegalArgumentException.class, () -> Budget.of(known("a", "1")).combine(n(level)));
    assertEquals(
        "a level of confidence of %s %% is not between 0 and 100".formatted(level), e.getMessage());
  }

  // model, result and uncertainty found; table of inputs from memory
  @Test
  @DisplayName("EA-4/02 S2: a standard resistor of 10 kilohms")
  void standardResistor() {
    BigDecimal r = n("1.0000105");
    BigDecimal sum = n("10000.053").add(n("0.020"));
    Component repeated =
        Component.repeated(
                "ratio", all("1.0000104", "1.0000107", "1.0000106", "1.0000103", "1.0000105"))
            .withSensitivity(sum);
    Uncertainty u =
        Budget.of(
                Component.normal("standard", n("0.005"), n("2"))
                    .withSensitivity(r)
                    .withDegreesOfFreedom(n("50")),
                Component.rectangular("drift", n("0.010")).withSensitivity(r),
                Component.rectangular("temperature of the standard", n("0.00275"))
                    .withSensitivity(r),
                Component.rectangular("temperature of the unknown", n("0.0055"))
                    .withSensitivity(n("-1")),
                Component.triangular("parasitic", n("1.0e-6")).withSensitivity(sum.multiply(r)),
                repeated)
            .combine();
    assertEquals(n("10000.1780007665"), sum.multiply(r).setScale(10, RoundingMode.HALF_EVEN));
    List<String> contributions =
        u.components().stream()
            .map(c -> digits(c.contribution().abs().movePointRight(3), 6).toPlainString())
            .toList();
    assertEquals(
        List.of("2.50003", "5.77356", "1.58773", "3.17543", "4.08256", "0.707112"), contributions);
    // the file has 0.00832800405259282, computed with binary numbers
    assertEquals(n("0.00832800405259"), digits(u.standard(), 12));
    assertEquals(n("5700.751"), digits(u.degreesOfFreedom().orElseThrow(), 7)); // the file: 5700
    assertEquals(n("0.017"), digits(u.expanded(), 2));
    assertEquals(n("0.016656"), digits(u.standard().multiply(n("2")), 5));
    assertEquals(n("2.0004"), u.coverageFactor());
  }

  @Test
  void widthsBecomeStandardUncertainties() {
    BigDecimal one = BigDecimal.ONE;
    assertEquals(n("0.57735027"), digits(Component.rectangular("a", one).standardUncertainty(), 8));
    assertEquals(n("0.40824829"), digits(Component.triangular("a", one).standardUncertainty(), 8));
    assertEquals(n("0.70710678"), digits(Component.arcsine("a", one).standardUncertainty(), 8));
    assertEquals(n("0.4"), Component.normal("a", one, n("2.5")).standardUncertainty());
    assertEquals(n("0.28867513"), digits(Component.resolution("a", one).standardUncertainty(), 8));
    assertEquals("arcsine", Component.arcsine("a", one).distribution().word());
    assertEquals(Distribution.NORMAL, Component.normal("a", one, one).distribution());
    assertEquals(Distribution.TRIANGULAR, Component.triangular("a", one).distribution());
    assertEquals(Distribution.RECTANGULAR, Component.resolution("a", one).distribution());
    assertEquals(Optional.empty(), Component.resolution("a", one).degreesOfFreedom());
  }

  @Test
  void readingsThatNeverChangeHaveNoScatterAndGoWithNothing() {
    List<BigDecimal> still = all("5", "5.0", "5");
    List<BigDecimal> moving = all("1", "2", "3");
    Component none = Component.repeated("still", still);
    assertEquals(0, none.standardUncertainty().signum());
    assertEquals(n("0"), Correlation.ofReadings("a", still, "b", moving).coefficient());
    assertEquals(n("0"), Correlation.ofReadings("a", moving, "b", still).coefficient());
    // what contributes nothing does not make the rest less sure
    Uncertainty u = Budget.of(none, known("accuracy", "3")).combine();
    assertEquals(Optional.empty(), u.degreesOfFreedom());
    assertEquals(0, n("6").compareTo(u.expanded()));
  }

  @Test
  void twoRepeatedReadingsAreEnough() {
    Component mean = Component.repeated("a", all("1", "2"));
    assertEquals(0, n("0.5").compareTo(mean.standardUncertainty()));
    assertEquals(Optional.of(n("1")), mean.degreesOfFreedom());
    Correlation both = Correlation.ofReadings("a", all("1", "2"), "b", all("20", "10"));
    assertEquals(0, n("-1").compareTo(both.coefficient()));
  }

  @Test
  void correlationAddsOrTakesAway() {
    Component three = known("a", "3");
    Component four = known("b", "4").withSensitivity(n("-1"));
    assertEquals(0, n("5").compareTo(Budget.of(three, four).combine().standard()));
    assertEquals(0, n("1").compareTo(together(three, four, "1")));
    assertEquals(0, n("7").compareTo(together(three, four, "-1")));
    assertEquals(n("6.0827625"), digits(together(three, four, "-0.5"), 8));
    // equal and opposite: nothing is left
    assertEquals(
        0, together(known("a", "3"), known("b", "3").withSensitivity(n("-1")), "1").signum());
  }

  private static BigDecimal together(Component one, Component other, String coefficient) {
    return Budget.of(one, other)
        .with(new Correlation(other.name(), one.name(), n(coefficient)))
        .combine()
        .standard();
  }

  // practice: the formula is for independent components only
  @Test
  void withCorrelationsTheLeastDegreesOfFreedomCount() {
    Budget budget =
        Budget.of(known("a", "1", 7), known("b", "1", 5), known("c", "1"), known("d", "0", 2));
    assertEquals(
        Optional.of(n("5")),
        budget.with(new Correlation("a", "c", n("0.1"))).combine().degreesOfFreedom());
    // 16 / (1/7 + 1/5) × (9/16) = 9 × 35 / 12
    assertEquals(Optional.of(n("26.250000")), budget.combine().degreesOfFreedom());
    assertEquals(
        Optional.of(n("26.250000")),
        budget.with(new Correlation("a", "c", n("0"))).combine().degreesOfFreedom());
  }

  @Test
  void correlationsThatCannotHoldTogetherAreRefused() {
    Budget three =
        Budget.of(known("a", "1"), known("b", "1"), known("c", "1"))
            .with(new Correlation("a", "b", n("-0.9")))
            .with(new Correlation("b", "c", n("-0.9")))
            .with(new Correlation("a", "c", n("-0.9")));
    IllegalArgumentException e =
        assertThrows(IllegalArgumentException.class, () -> three.combine());
    assertEquals(
        "the correlations of a budget cannot all hold together: the variance would be -2.4",
        e.getMessage());
    assertEquals(3, three.correlations().size());
  }

  @Test
  void rightAngledVarianceIsZeroButForRounding() {
    // three components at 120 degrees cancel; a coefficient that is short in its 34th digit does
    // not make that a mistake
    Budget three =
        Budget.of(known("a", "1"), known("b", "1"), known("c", "1"))
            .with(new Correlation("a", "b", n("-0.5000000000000000000000000000000001")))
            .with(new Correlation("b", "c", n("-0.5")))
            .with(new Correlation("a", "c", n("-0.5")));
    assertEquals(0, three.combine().standard().signum());
    Budget wrong =
        Budget.of(known("a", "1"), known("b", "1"), known("c", "1"))
            .with(new Correlation("a", "b", n("-0.50000000000000000000000001")))
            .with(new Correlation("b", "c", n("-0.5")))
            .with(new Correlation("a", "c", n("-0.5")));
    assertThrows(IllegalArgumentException.class, () -> wrong.combine());
  }

  @Test
  @DisplayName("one component keeps its own degrees of freedom, for any number of them")
  void oneComponentKeepsItsDegreesOfFreedom() {
    for (int whole = 1; whole < 40; whole++) {
      Uncertainty u = Budget.of(known("a", "0.3", whole)).combine();
      assertEquals(whole, u.degreesOfFreedom().orElseThrow().intValueExact());
      assertEquals(
          Coverage.factor(n("95.45"), Optional.of(BigDecimal.valueOf(whole))), u.coverageFactor());
    }
  }

  @Test
  void combiningScalesAndDoesNotKnowSigns() {
    long seed = 20261125;
    Random random = new Random(seed);
    for (int i = 0; i < Rounds.of(100); i++) {
      BigDecimal a = BigDecimal.valueOf(1 + random.nextInt(100_000), 3);
      BigDecimal b = BigDecimal.valueOf(1 + random.nextInt(100_000), 3);
      Component one = Component.rectangular("a", a).withDegreesOfFreedom(n("6"));
      Component two = Component.normal("b", b, n("2"));
      Uncertainty u = Budget.of(one, two).combine();
      Uncertainty turned =
          Budget.of(two.withSensitivity(n("-1000")), one.withSensitivity(n("1000"))).combine();
      String seen = "seed " + seed + ", " + a + " and " + b;
      assertEquals(digits(u.expanded(), 30), digits(turned.expanded().movePointLeft(3), 30), seen);
      assertEquals(u.degreesOfFreedom(), turned.degreesOfFreedom(), seen);
      Uncertainty more = Budget.of(one, two, Component.resolution("c", a)).combine();
      assertEquals(1, more.standard().compareTo(u.standard()), seen);
      assertEquals(1, u.degreesOfFreedom().orElseThrow().compareTo(n("5.999999")), seen);
    }
  }

  @Test
  void budgetsThatCannotBeAreRefused() {
    refused("a budget of uncertainty has no components", () -> Budget.of());
    refused(
        "a budget of uncertainty has two components a",
        () -> Budget.of(known("a", "1"), known("a", "2")));
    Budget two = Budget.of(known("a", "1"), known("b", "1"));
    refused(
        "a correlation names c, which is no component of the budget",
        () -> two.with(new Correlation("a", "c", n("0"))));
    refused(
        "a correlation names c, which is no component of the budget",
        () -> two.with(new Correlation("c", "b", n("0"))));
    Budget once = two.with(new Correlation("a", "b", n("1")));
    refused("b and a are correlated twice", () -> once.with(new Correlation("b", "a", n("1"))));
    refused("a and b are correlated twice", () -> once.with(new Correlation("a", "b", n("1"))));
    refused("component a is to be correlated with itself", () -> new Correlation("a", "a", n("1")));
    refused(
        "the correlation of a and b is 1.01, which is not within -1 to 1",
        () -> new Correlation("a", "b", n("1.01")));
    refused(
        "the correlation of a and b is -1.01, which is not within -1 to 1",
        () -> new Correlation("a", "b", n("-1.01")));
    refused(
        "1 readings of a and 1 of b do not show how they go together",
        () -> Correlation.ofReadings("a", all("1"), "b", all("1")));
    refused(
        "2 readings of a and 3 of b do not show how they go together",
        () -> Correlation.ofReadings("a", all("1", "2"), "b", all("1", "2", "3")));
  }

  @Test
  void componentsThatCannotBeAreRefused() {
    refused("a component of uncertainty has no name", () -> known(" ", "1"));
    refused("component a has uncertainty -1, which is below zero", () -> known("a", "-1"));
    refused(
        "component a has 0.99 degrees of freedom, fewer than 1",
        () -> known("a", "1").withDegreesOfFreedom(n("0.99")));
    refused(
        "component a has coverage factor 0, which is not above zero",
        () -> Component.normal("a", n("1"), n("0")));
    refused(
        "component a has 1 repeated values: at least 2 show how they scatter",
        () -> Component.repeated("a", all("1")));
    assertEquals(0, known("a", "0").standardUncertainty().signum());
  }

  private static void refused(String sentence, org.junit.jupiter.api.function.Executable what) {
    assertEquals(sentence, assertThrows(IllegalArgumentException.class, what).getMessage());
  }
}
