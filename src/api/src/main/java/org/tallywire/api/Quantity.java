package org.tallywire.api;

import java.util.regex.Pattern;

/**
 * Names what a value is a value of, by a word of the shared list in {@code shared/quantities.json};
 * other words are carried and shown, and judged by nobody.
 *
 * @param name lower-case letters, digits and hyphens, 1 to 64 characters, a letter first
 */
public record Quantity(String name) {

  private static final Pattern NAME = Pattern.compile("[a-z][a-z0-9-]{0,63}");

  public static final Quantity TURNS_RATIO = new Quantity("turns-ratio");
  public static final Quantity PHASE_DISPLACEMENT = new Quantity("phase-displacement");
  public static final Quantity EXCITATION_CURRENT = new Quantity("excitation-current");
  public static final Quantity TEST_VOLTAGE = new Quantity("test-voltage");
  public static final Quantity TEST_CURRENT = new Quantity("test-current");
  public static final Quantity WINDING_RESISTANCE = new Quantity("winding-resistance");
  public static final Quantity WINDING_TEMPERATURE = new Quantity("winding-temperature");
  public static final Quantity AMBIENT_TEMPERATURE = new Quantity("ambient-temperature");
  public static final Quantity RELATIVE_HUMIDITY = new Quantity("relative-humidity");

  /** The value after 1 min. */
  public static final Quantity INSULATION_RESISTANCE = new Quantity("insulation-resistance");

  public static final Quantity INSULATION_RESISTANCE_30_S =
      new Quantity("insulation-resistance-30-s");
  public static final Quantity INSULATION_RESISTANCE_10_MIN =
      new Quantity("insulation-resistance-10-min");
  public static final Quantity SHORT_CIRCUIT_VOLTAGE = new Quantity("short-circuit-voltage");
  public static final Quantity SHORT_CIRCUIT_CURRENT = new Quantity("short-circuit-current");
  public static final Quantity SHORT_CIRCUIT_LOSS = new Quantity("short-circuit-loss");

  public Quantity {
    if (!NAME.matcher(name).matches()) {
      throw new IllegalArgumentException(
          "quantity \"%s\" is not 1 to 64 of a-z 0-9 - with a letter first".formatted(name));
    }
  }

  @Override
  public String toString() {
    return name;
  }
}
