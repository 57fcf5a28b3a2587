package org.tallywire.simulator;

import java.util.Map;
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
record Measurement(
    String test,
    String windings,
    String phase,
    OptionalInt tap,
    SortedMap<Channel, String> values,
    double seconds) {

  Measurement {
    values = new TreeMap<>(values);
  }

  /** What the test set can measure, each with its number and unit. */
  enum Channel {
    RATIO(1, "turns-ratio", "1"),
    EXCITATION_CURRENT(2, "excitation-current", "mA"),
    PHASE_DISPLACEMENT(3, "phase-displacement", "deg"),
    TEST_VOLTAGE(4, "test-voltage", "V"),
    OHMS(5, "winding-resistance", "Ohm"),
    MILLIOHMS(6, "winding-resistance", "mOhm"),
    TEST_CURRENT(7, "test-current", "A"),
    TEMPERATURE(8, "winding-temperature", "Cel");

    private final int number;
    private final String quantity;
    private final String unit;

    Channel(int number, String quantity, String unit) {
      this.number = number;
      this.quantity = quantity;
      this.unit = unit;
    }

    int number() {
      return number;
    }

    String quantity() {
      return quantity;
    }

    /** Returns the unit's UCUM code. */
    String unit() {
      return unit;
    }
  }

  static Measurement ratio(String phase, int tap, Map<Channel, String> values) {
    return new Measurement(
        "turns-ratio", "HV-LV", phase, OptionalInt.of(tap), new TreeMap<>(values), 0.7);
  }

  static Measurement resistance(
      String windings, String phase, OptionalInt tap, Map<Channel, String> values) {
    return new Measurement("winding-resistance", windings, phase, tap, new TreeMap<>(values), 1.5);
  }
}
