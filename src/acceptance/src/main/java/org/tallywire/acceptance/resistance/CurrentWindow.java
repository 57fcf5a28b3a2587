package org.tallywire.acceptance.resistance;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.Optional;

/**
 * Between which currents a winding resistance is measured: enough to saturate the core, too little
 * to warm the winding.
 *
 * @param factor the test current has to be above this times the no-load current
 * @param caution share of the rated line current in percent, above which one is warned
 * @param limit likewise, above which the reading is not accepted
 */
public record CurrentWindow(BigDecimal factor, BigDecimal caution, BigDecimal limit) {

  /**
   * Above 1.2 times the no-load current and below 10 % of rated (found: a trade article from a
   * factory's test laboratory; IEC 60076-1:2011 10 %, memory), not above 15 % (IEEE C57.12.90,
   * memory). The sources disagree, so 10 % warns and 15 % fails; both can be changed.
   */
  public static final CurrentWindow USUAL =
      new CurrentWindow(new BigDecimal("1.2"), BigDecimal.TEN, BigDecimal.valueOf(15));

  /**
   * @throws IllegalArgumentException if one is not greater than zero, or the limit below the
   *     caution
   */
  public CurrentWindow {
    Figure.positive("the factor on the no-load current", factor);
    Figure.positive("the caution share", caution);
    if (limit.compareTo(caution) < 0) {
      throw new IllegalArgumentException(
          "the limit %s %% of a test current is below its caution %s %%"
              .formatted(Figure.plain(limit), Figure.plain(caution)));
    }
  }

  /** Where a test current lies. */
  public enum Place {
    /** Not above the factor times the no-load current: the core may not be saturated. */
    TOO_LOW,
    WITHIN,
    /** Above the caution, up to the limit: the winding may warm while one waits. */
    CAUTION,
    /** Above the limit. */
    TOO_HIGH
  }

  /**
   * A test current in the window.
   *
   * @param share percent of the rated line current, to 34 digits
   * @param least what it has to be above, in ampere; absent where the no-load current is not known
   * @param empty whether no current at all is both above {@code least} and within the limit
   */
  public record Judged(Place place, BigDecimal share, Optional<BigDecimal> least, boolean empty) {}

  /**
   * Judges a test current. All currents are line currents in ampere. What is too high is so
   * whatever the no-load current; what is too low is so even above the caution.
   *
   * @throws IllegalArgumentException if one is not greater than zero
   */
  public Judged judge(BigDecimal test, BigDecimal rated, Optional<BigDecimal> noLoad) {
    Figure.positive("the test current", test);
    Figure.positive("the rated current", rated);
    BigDecimal hundredfold = test.multiply(Figure.HUNDRED);
    Optional<BigDecimal> least =
        noLoad.map(i -> Figure.positive("the no-load current", i).multiply(factor));
    boolean empty =
        least.isPresent()
            && least.get().multiply(Figure.HUNDRED).compareTo(rated.multiply(limit)) >= 0;
    return new Judged(
        place(test, hundredfold, rated, least),
        hundredfold.divide(rated, MathContext.DECIMAL128),
        least,
        empty);
  }

  private Place place(
      BigDecimal test, BigDecimal hundredfold, BigDecimal rated, Optional<BigDecimal> least) {
    if (hundredfold.compareTo(rated.multiply(limit)) > 0) {
      return Place.TOO_HIGH;
    }
    if (least.isPresent() && test.compareTo(least.get()) <= 0) {
      return Place.TOO_LOW;
    }
    return hundredfold.compareTo(rated.multiply(caution)) > 0 ? Place.CAUTION : Place.WITHIN;
  }
}
