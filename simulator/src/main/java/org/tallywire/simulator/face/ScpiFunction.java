package org.tallywire.simulator.face;

import java.util.Map;
import java.util.Optional;
import org.tallywire.simulator.tester.Measurement;
import org.tallywire.simulator.tester.Measurement.Channel;

/**
 * What the meter can be asked for by name, in the order of a reading's elements.
 *
 * <p>The nodes are the measurement functions of SCPI-1999 volume 2, chapter 3 (from memory) but for
 * {@link #ALL} and {@link #TURNS_RATIO}, which are this meter's own: SCPI has neither a turns ratio
 * nor a list of unlike quantities.
 */
enum ScpiFunction {
  /** A reading with all its elements. */
  ALL("ALL", "", ""),
  TURNS_RATIO("TRATio", "turns-ratio", "1"),
  EXCITATION_CURRENT("CURRent:AC", "excitation-current", "A"),
  PHASE_DISPLACEMENT("PHASe", "phase-displacement", "DEG"),
  TEST_VOLTAGE("VOLTage:AC", "test-voltage", "V"),
  RESISTANCE("FRESistance", "winding-resistance", "OHM"),
  TEST_CURRENT("CURRent[:DC]", "test-current", "A"),
  TEMPERATURE("TEMPerature", "winding-temperature", "CEL");

  private static final int MILLI = -3;

  private final String header;
  private final String quantity;
  private final String unit;

  ScpiFunction(String header, String quantity, String unit) {
    this.header = header;
    this.quantity = quantity;
    this.unit = unit;
  }

  /** Returns its node or nodes, as {@link ScpiTree} takes them. */
  String header() {
    return header;
  }

  /** Returns its short form without what may be left out. */
  String brief() {
    return header.replaceAll("\\[.*?\\]|[a-z]", "");
  }

  String quantity() {
    return quantity;
  }

  /** Returns the unit of its answer, as SCPI-1999 volume 1, 7.5 writes it; 1 for a ratio. */
  String unit() {
    return unit;
  }

  /** Returns whether this is one of a reading's elements. */
  boolean element() {
    return this != ALL;
  }

  /** Returns whether it was measured. */
  boolean in(Measurement measurement) {
    return this == ALL || measured(measurement).isPresent();
  }

  /** Returns an element as NR3, not-a-number if it was not measured. */
  String value(Measurement measurement) {
    return measured(measurement)
        .map(entry -> ScpiNumber.nr3(entry.getValue(), power(entry.getKey())))
        .orElse(ScpiNumber.NOT_A_NUMBER);
  }

  private Optional<Map.Entry<Channel, String>> measured(Measurement measurement) {
    return measurement.values().entrySet().stream()
        .filter(entry -> entry.getKey().quantity().equals(quantity))
        .findFirst();
  }

  private static int power(Channel channel) {
    return switch (channel) {
      case EXCITATION_CURRENT, MILLIOHMS -> MILLI;
      default -> 0;
    };
  }
}
