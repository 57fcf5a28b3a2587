package org.tallywire.acceptance.uncertainty;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.Optional;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.function.Executable;

/** Limits of error of an instrument (parts add up: practice; half-width / √3: found). */
class AccuracyTest {

  private static BigDecimal n(String number) {
    return new BigDecimal(number);
  }

  private static void same(String expected, BigDecimal actual) {
    assertEquals(0, n(expected).compareTo(actual), () -> "expected " + expected + ": " + actual);
  }

  // 0.1 % of 47.6402 + 0.05 % of 100 + 2 × 0.0001 + 0.003 (arithmetic)
  private static final Accuracy ALL =
      Accuracy.ofReading(n("0.1"))
          .andOfRange(n("0.05"), n("100"))
          .andDigits(n("2"))
          .andAbsolute(n("0.003"));

  @Test
  void partsAddUp() {
    same("0.1008402", ALL.at(n("47.6402"), n("0.0001")));
    same("0.1008402", ALL.at(n("-47.6402"), n("0.0001")));
    same("0.0476402", Accuracy.ofReading(n("0.1")).at(n("47.6402"), n("0.0001")));
    same("0.0532", ALL.at(n("0"), n("0.0001")));
    same("0.2", ofNothing().andDigits(n("2")).at(n("7"), n("-0.1")));
  }

  @Test
  void aDataSheetGivesARectangularComponent() {
    Component component = ALL.component("accuracy", n("47.6402"));
    assertEquals("accuracy", component.name());
    assertEquals(Distribution.RECTANGULAR, component.distribution());
    assertEquals(n("0.058220117"), component.standardUncertainty().round(new MathContext(8)));
    // the last digit is the reading's own unless it is named
    assertEquals(component, ALL.component("accuracy", n("47.6402"), n("0.0001")));
    same("0.1", ofNothing().andDigits(n("1")).at(n("47.6"), n("47.6").ulp()));
    same("10", ofNothing().andDigits(n("1")).at(n("4.7e2"), n("4.7e2").ulp()));
  }

  @Test
  void aCertificateGivesANormalComponent() {
    Accuracy certificate = ALL.expandedWith(n("2"));
    Component component = certificate.component("accuracy", n("47.6402"));
    assertEquals(Distribution.NORMAL, component.distribution());
    same("0.0504201", component.standardUncertainty());
    assertEquals(Optional.of(n("2")), certificate.coverageFactor());
    assertEquals(
        Optional.of(n("2")),
        certificate
            .andDigits(n("0"))
            .andAbsolute(n("0"))
            .andOfRange(n("0"), n("0"))
            .coverageFactor());
  }

  @Test
  void accuraciesThatCannotBeAreRefused() {
    refused(
        "an accuracy has the percentage of the reading -1, which is below zero",
        () -> Accuracy.ofReading(n("-1")));
    refused(
        "an accuracy has the percentage of the range -1, which is below zero",
        () -> ofNothing().andOfRange(n("-1"), n("10")));
    refused(
        "an accuracy has the range -10, which is below zero",
        () -> ofNothing().andOfRange(n("1"), n("-10")));
    refused(
        "an accuracy has the number of digits -1, which is below zero",
        () -> ofNothing().andDigits(n("-1")));
    refused(
        "an accuracy has the fixed part -1, which is below zero",
        () -> ofNothing().andAbsolute(n("-1")));
    refused(
        "an accuracy of 1 % of the range needs the range",
        () -> ofNothing().andOfRange(n("1"), n("0")));
    refused(
        "an accuracy has coverage factor 0, which is not above zero",
        () -> ofNothing().expandedWith(n("0")));
  }

  private static Accuracy ofNothing() {
    return Accuracy.ofReading(BigDecimal.ZERO);
  }

  private static void refused(String sentence, Executable what) {
    assertEquals(sentence, assertThrows(IllegalArgumentException.class, what).getMessage());
  }
}
