package org.tallywire.declared;

import static org.junit.jupiter.api.Assertions.assertEquals;

import java.math.BigDecimal;
import java.util.Optional;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** DRV-15. */
final class NumberStyleTest {

  @ParameterizedTest
  @CsvSource({
    "1.50, 1.50",
    "+001.50, 1.50",
    "'- 0.7', -0.7",
    "'  -12  ', -12",
    ".5, 0.5",
    "5., 5",
    "1.23000E-03, 0.00123000",
    "-4.5E+02, -450",
    "1.5e3, 1500",
    "000, 0",
    "0.000, 0.000"
  })
  @DisplayName("numbers are exact and keep their digits")
  void numbers(String text, String number) {
    assertEquals(number, read(NumberStyle.USUAL, text));
  }

  @ParameterizedTest
  @CsvSource({
    "''", "-", ".", "1.2.3", "1e", "0x10", "NaN", "1 2", "--1", "1-", "1_0", "1e99", "E5"
  })
  @DisplayName("what is no number is none")
  void none(String text) {
    assertEquals("none", read(NumberStyle.USUAL, text));
  }

  @Test
  @DisplayName("more digits than a record takes are refused, not rounded")
  void tooLong() {
    assertEquals("none", read(NumberStyle.USUAL, "1".repeat(33)));
    assertEquals("1".repeat(32), read(NumberStyle.USUAL, "1".repeat(32)));
    assertEquals("none", read(NumberStyle.USUAL, "9".repeat(100_000)));
  }

  @ParameterizedTest
  @CsvSource(
      delimiter = ';',
      value = {
        "1.250,5;1250.5",
        "12,5;12.5",
        "-1.000.000;-1000000",
        "1.25,5;none",
        "12.50;none",
        "1,2,3;none"
      })
  @DisplayName("a decimal comma, points between thousands and nowhere else")
  void comma(String text, String number) {
    assertEquals(number, read(new NumberStyle(',', "."), text));
  }

  @Test
  @DisplayName("a power of ten moves the point and adds no digit; other factors multiply exactly")
  void factors() {
    assertEquals("0.00150", scaled("1.50", "0.001"));
    assertEquals("1500", scaled("1.5", "1000"));
    assertEquals("15", scaled("1.5", "10"));
    assertEquals("3.75", scaled("1.5", "2.5"));
  }

  private static String scaled(String number, String factor) {
    return NumberStyle.scaled(new BigDecimal(number), new BigDecimal(factor))
        .orElseThrow()
        .toPlainString();
  }

  private static String read(NumberStyle style, String text) {
    Optional<BigDecimal> number = style.read(text);
    return number.map(BigDecimal::toPlainString).orElse("none");
  }
}
