package org.tallywire.simulator.tester;

import static org.junit.jupiter.api.Assertions.assertEquals;

import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.tallywire.simulator.tester.Measurement.Channel;

/** What stands on the display for a number. */
class DigitsTest {

  @ParameterizedTest
  @CsvSource({
    "46.2, 46.2000",
    "46, 46.0000",
    "2.32, 2.32000",
    "123.4564, 123.456",
    "9.9999996, 10.0000",
    "0.99999949, 0.999999",
    "0.8, 0.800000",
    "15000, 15000.0",
    "14999.96, 15000.0"
  })
  @DisplayName("L-22a: the digits are the resolution, so trailing zeros are kept")
  void sixSignificantDigits(double value, String text) {
    assertEquals(text, Digits.significant(value, 6));
  }

  @ParameterizedTest
  @CsvSource({"0.0004, 0.000", "-0.0004, 0.000", "-0.0006, -0.001", "12, 12.000", "0.5, 0.500"})
  void threeDecimals(double value, String text) {
    assertEquals(text, Digits.fixed(value, 3));
  }

  /** The table of ranges: a decade each, 200 000 steps. */
  @ParameterizedTest
  @CsvSource({
    "0.0001, MILLIOHMS, 0.1000",
    "0.00232, MILLIOHMS, 2.3200",
    "0.02, MILLIOHMS, 20.0000",
    "0.0200001, MILLIOHMS, 20.000",
    "0.1, MILLIOHMS, 100.000",
    "0.2, MILLIOHMS, 200.000",
    "0.201, MILLIOHMS, 201.00",
    "2, MILLIOHMS, 2000.00",
    "2.001, OHMS, 2.0010",
    "4.35, OHMS, 4.3500",
    "20, OHMS, 20.0000",
    "20.01, OHMS, 20.010",
    "200, OHMS, 200.000",
    "200.5, OHMS, 200.50",
    "2000, OHMS, 2000.00"
  })
  void aResistanceHasTheChannelAndTheDigitsOfItsRange(double ohms, Channel channel, String text) {
    ResistanceRange range = ResistanceRange.of(ohms);
    assertEquals(channel, range.channel());
    assertEquals(text, range.digits(ohms));
  }

  @Test
  void aRangeHoldsWhatItsChannelSays() {
    // L-17a: min and max of the channel list are those of the ranges.
    double milliohms = ResistanceRange.MILLIOHMS_2000.fullOhms() * 1e3;
    assertEquals(Double.parseDouble(Channel.MILLIOHMS.max()), milliohms);
    double ohms = ResistanceRange.greatest().fullOhms();
    assertEquals(Double.parseDouble(Channel.OHMS.max()), ohms);
    double least = ResistanceRange.LEAST_OHMS * 1e3;
    assertEquals(Double.parseDouble(Channel.MILLIOHMS.min()), least);
  }
}
