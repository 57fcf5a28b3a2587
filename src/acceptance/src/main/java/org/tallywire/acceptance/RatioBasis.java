package org.tallywire.acceptance;

import java.util.Locale;
import java.util.Optional;

/** What an instrument shows as the ratio. */
public enum RatioBasis {
  /** Voltage across the excited terminals over voltage across the measured ones. */
  TERMINALS,
  /** Turns of one HV phase winding over turns of one whole LV phase winding. */
  WINDING,
  /** Line-to-line voltage of the HV side over that of the LV side. */
  LINE;

  /** Returns the word for it in configurations. */
  public String word() {
    return name().toLowerCase(Locale.ROOT);
  }

  /** Returns the basis with the given word, or nothing if there is none. */
  public static Optional<RatioBasis> of(String word) {
    for (RatioBasis basis : values()) {
      if (basis.word().equals(word)) {
        return Optional.of(basis);
      }
    }
    return Optional.empty();
  }
}
