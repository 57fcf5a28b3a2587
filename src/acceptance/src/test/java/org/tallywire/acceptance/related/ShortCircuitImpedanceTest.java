package org.tallywire.acceptance.related;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.Random;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.function.Executable;
import org.tallywire.acceptance.Rounds;

/** Short-circuit impedance; check values derived from the formulas of practice. */
class ShortCircuitImpedanceTest {

  /** 1 MVA, 11 kV, three-phase. */
  private static final Rating MEGA = new Rating(true, n("1000000"), n("11000"));

  private static BigDecimal n(String number) {
    return new BigDecimal(number);
  }

  private static void digits(String expected, BigDecimal actual) {
    assertEquals(
        0,
        n(expected).compareTo(actual.round(new MathContext(n(expected).precision()))),
        () -> "expected " + expected + ": " + actual);
  }

  private static ShortCircuitImpedance atRatedCurrent() {
    return ShortCircuitImpedance.measured(MEGA, n("550"), MEGA.current(), n("10500"));
  }

  @Test
  void checkValues() {
    digits("52.486388", MEGA.current());
    ShortCircuitImpedance z = atRatedCurrent();
    digits("5.000000000000", z.impedance());
    digits("1.050000000000", z.resistance());
    digits("4.888507", z.reactance());
    digits("6.0500000000", z.ohms());
    assertEquals(MEGA, z.rating());
  }

  @Test
  void warmWindings() {
    ShortCircuitImpedance warm = atRatedCurrent().atTemperature(n("235"), n("25"), n("75"));
    digits("1.251923", warm.resistance());
    digits("5.046267", warm.impedance());
    digits("4.888507", warm.reactance());
    digits("6.105983", warm.ohms());
    ShortCircuitImpedance back = warm.atTemperature(n("235"), n("75"), n("25"));
    digits("5.00000000000000000000", back.impedance());
  }

  @Test
  void anyCurrentGivesTheSame() {
    // half the current: half the voltage, a quarter of the loss
    BigDecimal half = MEGA.current().divide(n("2"));
    ShortCircuitImpedance z = ShortCircuitImpedance.measured(MEGA, n("275"), half, n("2625"));
    digits("5.0000000000000000000000", z.impedance());
    digits("1.0500000000000000000000", z.resistance());
    long seed = 431;
    Random random = new Random(seed);
    for (int i = 0; i < Rounds.of(200); i++) {
      BigDecimal share = BigDecimal.valueOf(1 + random.nextInt(2000), 3);
      ShortCircuitImpedance other =
          ShortCircuitImpedance.measured(
              MEGA,
              n("550").multiply(share),
              MEGA.current().multiply(share),
              n("10500").multiply(share).multiply(share));
      String seen = "seed " + seed + ", share " + share;
      MathContext most = new MathContext(30);
      assertEquals(atRatedCurrent().reactance().round(most), other.reactance().round(most), seen);
    }
  }

  @Test
  void singlePhase() {
    // 10 kVA, 2400 V: 4.1666667 A, 576 ohms base; 60 V and 150 W are 2.5 % and 1.5 %, x = 2 %
    Rating rating = new Rating(false, n("10000"), n("2400"));
    digits("4.1666667", rating.current());
    ShortCircuitImpedance z =
        ShortCircuitImpedance.measured(rating, n("60"), rating.current(), n("150"));
    digits("2.500000000000000", z.impedance());
    digits("1.500000000000000", z.resistance());
    digits("2.000000000000000", z.reactance());
    digits("14.40000000000000", z.ohms());
  }

  @Test
  void withoutLossAllIsReactance() {
    ShortCircuitImpedance z =
        ShortCircuitImpedance.measured(MEGA, n("550"), MEGA.current(), n("0"));
    assertEquals(0, z.resistance().signum());
    digits("5.0000000000000", z.reactance());
  }

  @Test
  void withLossAloneNothingIsReactance() {
    // 1 A and 1 V with 1 VA: z = r = 100 %
    ShortCircuitImpedance z =
        ShortCircuitImpedance.measured(new Rating(false, n("1"), n("1")), n("1"), n("1"), n("1"));
    assertEquals(0, z.reactance().signum());
    assertEquals(0, n("100").compareTo(z.impedance()));
  }

  @Test
  void deviationFromThePlate() {
    ShortCircuitImpedance z = atRatedCurrent();
    digits("25.00000000000", z.deviation(n("4")));
    digits("-20.0000000000", z.deviation(n("6.25")));
  }

  @Test
  void whatCannotBeIsRefused() {
    refused(
        "a short-circuit loss of 2 W is more than 1 V and 1 A can make: check the connections and"
            + " the current transformers",
        () ->
            ShortCircuitImpedance.measured(
                new Rating(false, n("1"), n("1")), n("1"), n("1"), n("2")));
    refused(
        "the short-circuit loss is -1 W, which is below zero",
        () -> ShortCircuitImpedance.measured(MEGA, n("1"), n("1"), n("-1")));
    refused(
        "the short-circuit voltage is 0, which is not above zero",
        () -> ShortCircuitImpedance.measured(MEGA, n("0"), n("1"), n("1")));
    refused(
        "the short-circuit current is 0, which is not above zero",
        () -> ShortCircuitImpedance.measured(MEGA, n("1"), n("0"), n("1")));
    refused(
        "the rated power is 0, which is not above zero", () -> new Rating(true, n("0"), n("1")));
    refused(
        "the rated voltage is 0, which is not above zero", () -> new Rating(true, n("1"), n("0")));
    refused(
        "the temperature above that without resistance is 0, which is not above zero",
        () -> atRatedCurrent().atTemperature(n("235"), n("-235"), n("75")));
    refused(
        "the temperature above that without resistance is -1, which is not above zero",
        () -> atRatedCurrent().atTemperature(n("235"), n("25"), n("-236")));
    refused(
        "the impedance on the nameplate is 0, which is not above zero",
        () -> atRatedCurrent().deviation(n("0")));
  }

  private static void refused(String sentence, Executable what) {
    assertEquals(sentence, assertThrows(IllegalArgumentException.class, what).getMessage());
  }
}
