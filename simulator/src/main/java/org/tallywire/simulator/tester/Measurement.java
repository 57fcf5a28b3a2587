package org.tallywire.simulator.tester;

import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.OptionalInt;
import java.util.SortedMap;
import java.util.TreeMap;

/**
 * What the test set measured once, as it shows it.
 *
 * @param test {@code turns-ratio} or {@code winding-resistance}
 * @param windings measured between or across
 * @param phase A, B or C
 * @param tap position, where the tap matters
 * @param values the text of each channel's value or a word of L-22a ({@code over-range}, {@code
 *     under-range}, {@code open}, {@code invalid}), by {@link Channel}; such a word is a finding,
 *     the status stays {@code ok}
 * @param status how far it is to be trusted
 * @param seconds of bench time that it takes
 */
public record Measurement(
    String test,
    String windings,
    String phase,
    OptionalInt tap,
    SortedMap<Channel, String> values,
    Status status,
    double seconds) {

  public Measurement {
    values = new TreeMap<>(values);
  }

  /** The words of L-20d. */
  public enum Status {
    OK,
    NOT_SETTLED,
    SUSPECT,
    ABORTED;

    /** Returns the word of L-20d. */
    @Override
    public String toString() {
      return name().toLowerCase(Locale.ROOT).replace('_', '-');
    }
  }

  /** What the test set can measure, each with its number, unit and range (L-17a). */
  public enum Channel {
    /** Six significant digits, so without one resolution. */
    RATIO(1, "turns-ratio", "1", "", "0.8", "15000"),
    EXCITATION_CURRENT(2, "excitation-current", "mA", "0.001", "0", "1000"),
    PHASE_DISPLACEMENT(3, "phase-displacement", "deg", "0.001", "-180", "180"),
    TEST_VOLTAGE(4, "test-voltage", "V", "0.01", "0", "300"),
    /** Resistance above 2 Ω, digits by {@link ResistanceRange}. */
    OHMS(5, "winding-resistance", "Ohm", "", "0.1", "2000"),
    /** Resistance up to 2 Ω, digits by {@link ResistanceRange}. */
    MILLIOHMS(6, "winding-resistance", "mOhm", "", "0.1", "2000"),
    /** Four decimals up to 2 A, three above. */
    TEST_CURRENT(7, "test-current", "A", "", "0", "60"),
    TEMPERATURE(8, "winding-temperature", "Cel", "0.1", "-20", "150");

    private final int number;
    private final String quantity;
    private final String unit;
    private final String resolution;
    private final String min;
    private final String max;

    Channel(int number, String quantity, String unit, String resolution, String min, String max) {
      this.number = number;
      this.quantity = quantity;
      this.unit = unit;
      this.resolution = resolution;
      this.min = min;
      this.max = max;
    }

    public int number() {
      return number;
    }

    public String quantity() {
      return quantity;
    }

    /** Returns the unit's UCUM code. */
    public String unit() {
      return unit;
    }

    /** Returns the last digit's worth, where it is the same over the range. */
    public Optional<String> resolution() {
      return resolution.isEmpty() ? Optional.empty() : Optional.of(resolution);
    }

    /** Returns the least value that the test set can show. */
    public String min() {
      return min;
    }

    /** Returns the greatest value that the test set can show. */
    public String max() {
      return max;
    }
  }

  /** What a ratio test shows. */
  public static Measurement ratio(String phase, int tap, Map<Channel, String> values) {
    return new Measurement(
        "turns-ratio",
        "HV-LV",
        phase,
        OptionalInt.of(tap),
        new TreeMap<>(values),
        Status.OK,
        RatioTest.SECONDS);
  }

  /** Returns the same measurement with other values on the display. */
  Measurement showing(SortedMap<Channel, String> others) {
    return new Measurement(test, windings, phase, tap, others, status, seconds);
  }
}
