package org.tallywire.acceptance.related;

import java.math.BigDecimal;
import java.util.List;

/**
 * Test voltage and least insulation resistance for a rated voltage. For electrical apparatus other
 * than rotating machines; transformers have a table of their own, which was not at hand (that they
 * have: from memory).
 *
 * @param ratedVoltage of the row of the table, in V
 * @param testVoltage direct, in V
 * @param megohms least insulation resistance in MΩ
 */
public record MinimumInsulation(int ratedVoltage, int testVoltage, int megohms) {

  public static final String SOURCE = "NETA MTS-2019, table 100.1 (found in a web copy)";

  private static final List<MinimumInsulation> TABLE =
      List.of(
          new MinimumInsulation(250, 500, 25),
          new MinimumInsulation(600, 1000, 100),
          new MinimumInsulation(1000, 1000, 100),
          new MinimumInsulation(2500, 1000, 500),
          new MinimumInsulation(5000, 2500, 1500),
          new MinimumInsulation(8000, 2500, 2500),
          new MinimumInsulation(15_000, 2500, 5000),
          new MinimumInsulation(25_000, 5000, 10_000),
          new MinimumInsulation(34_000, 5000, 100_000),
          new MinimumInsulation(46_000, 5000, 100_000));

  /**
   * Returns the row for a rated voltage: the next one of the table that is not lower (practice),
   * the last for any that is higher.
   *
   * @throws IllegalArgumentException for a voltage that is not above zero
   */
  public static MinimumInsulation of(BigDecimal ratedVoltage) {
    Positive.check("rated voltage", ratedVoltage);
    for (MinimumInsulation row : TABLE) {
      if (ratedVoltage.compareTo(BigDecimal.valueOf(row.ratedVoltage())) <= 0) {
        return row;
      }
    }
    return TABLE.get(TABLE.size() - 1);
  }
}
