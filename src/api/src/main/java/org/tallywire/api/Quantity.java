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
