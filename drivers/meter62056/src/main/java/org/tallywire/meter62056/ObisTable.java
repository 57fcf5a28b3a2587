package org.tallywire.meter62056;

import java.util.HashMap;
import java.util.Map;
import java.util.Optional;

/**
 * What the usual registers of an electricity meter are, by their OBIS codes (IEC 62056-61, from
 * public notes and from memory), and UCUM codes of their units. The words are not of {@code
 * shared/quantities.json}: they are carried and shown, and judged by nobody. UCUM has no var, so
 * reactive power is {@code V.A{reactive}}, an annotated volt ampere.
 */
final class ObisTable {

  private static final int TARIFFS = 9;
  private static final int LINES = 3;

  /** Registers of line 1; line 2 is 20 further, line 3 is 40. */
  private static final int NEXT_LINE = 20;

  private static final Map<String, String> QUANTITIES = quantities();
  private static final Map<String, String> UNITS = units();

  private ObisTable() {}

  /** Returns the word for what a register of the present period tells. */
  static Optional<String> quantity(Code code) {
    boolean electricity = code.medium().isEmpty() || code.medium().equals("1-0");
    return electricity && code.period().isEmpty()
        ? Optional.ofNullable(QUANTITIES.get(code.register()))
        : Optional.empty();
  }

  /** Returns the UCUM code of a unit as meters write it. */
  static Optional<String> unit(String written) {
    return Optional.ofNullable(UNITS.get(written));
  }

  private static Map<String, String> quantities() {
    Map<String, String> words = new HashMap<>();
    Map<Integer, String> powers =
        Map.of(
            1, "active-%s-import",
            2, "active-%s-export",
            3, "reactive-%s-import",
            4, "reactive-%s-export",
            9, "apparent-%s-import",
            10, "apparent-%s-export");
    powers.forEach(
        (c, form) -> {
          words.put(c + ".7.0", form.formatted("power"));
          words.put(c + ".6.0", form.formatted("power") + "-maximum");
          words.put(c + ".8.0", form.formatted("energy"));
          for (int tariff = 1; tariff <= TARIFFS; tariff++) {
            words.put(c + ".8." + tariff, form.formatted("energy") + "-tariff-" + tariff);
          }
        });
    words.put("11.7.0", "current");
    words.put("12.7.0", "voltage");
    words.put("13.7.0", "power-factor");
    words.put("14.7.0", "frequency");
    words.put("91.7.0", "current-neutral");
    Map<Integer, String> ofLines =
        Map.of(
            21, "active-power-import",
            22, "active-power-export",
            31, "current",
            32, "voltage",
            33, "power-factor");
    ofLines.forEach(
        (c, word) -> {
          for (int line = 0; line < LINES; line++) {
            words.put((c + line * NEXT_LINE) + ".7.0", word + "-l" + (line + 1));
          }
        });
    return words;
  }

  private static Map<String, String> units() {
    Map<String, String> codes = new HashMap<>();
    for (String prefix : new String[] {"", "k", "M", "G"}) {
      codes.put(prefix + "W", prefix + "W");
      codes.put(prefix + "Wh", prefix + "W.h");
      codes.put(prefix + "VA", prefix + "V.A");
      codes.put(prefix + "VAh", prefix + "V.A.h");
      codes.put(prefix + "var", prefix + "V.A{reactive}");
      codes.put(prefix + "varh", prefix + "V.A{reactive}.h");
    }
    for (String same : new String[] {"V", "kV", "mV", "A", "kA", "mA", "Hz", "m3", "s", "h"}) {
      codes.put(same, same);
    }
    return codes;
  }
}
