package org.tallywire.simulator.tester;

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
 * @param values the text of each channel's value, by {@link Channel}
 * @param seconds it takes in real life
 */
public record Measurement(
    String test,
    String windings,
    String phase,
    OptionalInt tap,
    SortedMap<Channel, String> values,
    double seconds) {

  public Measurement {
    values = new TreeMap<>(values);
  }

  /** What the test set can measure, each with its number, unit and range (L-17a). */
  public enum Channel {
    /** Six significant digits, so without one resolution. */
    RATIO(1, "turns-ratio", "1", "", "0.8", "15000"),
    EXCITATION_CURRENT(2, "excitation-current", "mA", "0.001", "0", "1000"),
    PHASE_DISPLACEMENT(3, "phase-displacement", "deg", "0.001", "-180", "180"),
    TEST_VOLTAGE(4, "test-voltage", "V", "0.01", "0", "50"),
    /** Five significant digits, as the next. */
    OHMS(5, "winding-resistance", "Ohm", "", "0.1", "2000"),
    MILLIOHMS(6, "winding-resistance", "mOhm", "", "0.1", "2000"),
    /** Four decimals up to 1 A, three above. */
    TEST_CURRENT(7, "test-current", "A", "", "0", "12"),
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

  public static Measurement ratio(String phase, int tap, Map<Channel, String> values) {
    return new Measurement(
        "turns-ratio", "HV-LV", phase, OptionalInt.of(tap), new TreeMap<>(values), 0.7);
  }

  public static Measurement resistance(
      String windings, String phase, OptionalInt tap, Map<Channel, String> values) {
    return new Measurement("winding-resistance", windings, phase, tap, new TreeMap<>(values), 1.5);
  }
}
