package org.tallywire.simulator.face;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.util.Random;
import java.util.regex.Pattern;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Response data of IEEE 488.2, 8.7; clauses and grammar from memory. */
class ScpiNumberTest {

  /** IEEE 488.2, 8.7.4: a digit before and behind the point, upper-case E, a sign behind it. */
  static final Pattern NR3 = Pattern.compile("[+-]?[0-9]+\\.[0-9]+E[+-][0-9]+");

  /** Worked by hand: one digit before the point, the digits that came, no other. */
  @ParameterizedTest
  @CsvSource({
    "46.2039, 0, +4.62039E+01",
    "4.31, -3, +4.31E-03",
    "-0.02, 0, -2.0E-02",
    "40.00, 0, +4.000E+01",
    "7, 0, +7.0E+00",
    "0.00, 0, +0.00E+00",
    "-0.00, -3, -0.00E-03",
    "0, 0, +0.0E+00",
    "0.0123, -3, +1.23E-05",
    "15000.0, 0, +1.50000E+04",
    "1000, -3, +1.000E+00"
  })
  void everyDigitGoesOutAndNoOther(String value, int power, String expected) {
    assertEquals(expected, ScpiNumber.nr3(value, power));
  }

  @Test
  void anyDecimalIsAnNr3OfTheSameValue() {
    long seed = System.nanoTime();
    Random random = new Random(seed);
    for (int i = 0; i < 5000; i++) {
      int decimals = random.nextInt(6);
      BigDecimal value = BigDecimal.valueOf(random.nextInt(2_000_000) - 1_000_000, decimals);
      int power = random.nextInt(7) - 3;
      String text = ScpiNumber.nr3(value.toPlainString(), power);
      String where = "seed " + seed + ": " + value + " gave " + text;
      assertTrue(NR3.matcher(text).matches(), where);
      BigDecimal back = new BigDecimal(text);
      assertEquals(0, value.scaleByPowerOfTen(power).compareTo(back), where);
    }
  }

  @Test
  void wordsAreTheNumbersThatStandForNone() { // SCPI-1999 volume 1, 7.2.1.4 and 7.2.1.5
    BigDecimal infinity = new BigDecimal("9.9E37");
    BigDecimal notANumber = new BigDecimal("9.91E37");
    assertEquals(0, infinity.compareTo(new BigDecimal(ScpiNumber.nr3("over-range", -3))));
    for (String word : new String[] {"under-range", "open", "invalid", "aborted"}) {
      assertEquals(0, notANumber.compareTo(new BigDecimal(ScpiNumber.nr3(word, -3))), word);
      assertTrue(NR3.matcher(ScpiNumber.nr3(word, 0)).matches());
    }
  }

  @Test
  void aBlockSaysItsLength() { // IEEE 488.2, 8.7.9: the standard's form, #15HELLO
    assertEquals("#15HELLO", ScpiNumber.block("HELLO"));
    assertEquals("#10", ScpiNumber.block(""));
    assertEquals("#212" + "x".repeat(12), ScpiNumber.block("x".repeat(12)));
  }

  @Test
  void aQuoteInAStringIsDoubled() { // IEEE 488.2, 8.7.8
    assertEquals("\"say \"\"a\"\"\"", ScpiNumber.string("say \"a\""));
  }
}
