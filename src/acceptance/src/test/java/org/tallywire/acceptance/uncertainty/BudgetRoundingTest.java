package org.tallywire.acceptance.uncertainty;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;

import java.math.BigDecimal;
import org.junit.jupiter.api.Test;

/** Where a variance below zero is still one that was only rounded. */
class BudgetRoundingTest {

  private static BigDecimal n(String number) {
    return new BigDecimal(number);
  }

  // three components of 1, each pair correlated by -(1/2 + d): the variance is -6 d, the squares 3
  @Test
  void aVarianceThatIsZeroButForRoundingIsZero() {
    for (String[] row : new String[][] {{"5e-31", "zero"}, {"5.1e-31", "refused"}}) {
      BigDecimal r = n("-0.5").subtract(n(row[0]));
      Budget budget =
          Budget.of(
                  Component.normal("a", n("1"), n("1")),
                  Component.normal("b", n("1"), n("1")),
                  Component.normal("c", n("1"), n("1")))
              .with(new Correlation("a", "b", r))
              .with(new Correlation("b", "c", r))
              .with(new Correlation("c", "a", r));
      if (row[1].equals("zero")) {
        assertEquals(0, budget.combine().standard().signum());
      } else {
        assertThrows(IllegalArgumentException.class, budget::combine);
      }
    }
  }
}
