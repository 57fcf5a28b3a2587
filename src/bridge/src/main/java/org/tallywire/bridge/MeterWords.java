package org.tallywire.bridge;

import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.Set;

/** Words that meters use for units, states and what is no number, and what they probably mean. */
final class MeterWords {

  private static final Map<String, String> UNITS = new LinkedHashMap<>();
  private static final Map<String, String> QUANTITIES = new LinkedHashMap<>();
  private static final Map<String, String> STATES = new LinkedHashMap<>();

  static {
    String units =
        "OHM=Ohm Ohm=Ohm ohm=Ohm OHMS=Ohm mOHM=mOhm mOhm=mOhm mohm=mOhm kOHM=kOhm kOhm=kOhm"
            + " KOHM=kOhm MOHM=MOhm MOhm=MOhm GOHM=GOhm GOhm=GOhm TOhm=TOhm uOhm=uOhm uOHM=uOhm"
            + " V=V mV=mV kV=kV KV=kV A=A mA=mA MA=mA uA=uA C=Cel CEL=Cel degC=Cel \u00B0C=Cel"
            + " deg=deg DEG=deg \u00B0=deg Hz=Hz HZ=Hz s=s ms=ms W=W kW=kW KW=kW %=%";
    for (String unit : units.split(" ", -1)) {
      String[] both = unit.split("=", 2);
      UNITS.put(both[0], both[1]);
    }
    String quantities =
        "Ohm=winding-resistance mOhm=winding-resistance uOhm=winding-resistance"
            + " kOhm=insulation-resistance MOhm=insulation-resistance GOhm=insulation-resistance"
            + " TOhm=insulation-resistance V=test-voltage kV=test-voltage mV=test-voltage"
            + " A=test-current mA=excitation-current uA=excitation-current"
            + " Cel=winding-temperature deg=phase-displacement W=short-circuit-loss"
            + " kW=short-circuit-loss";
    for (String quantity : quantities.split(" ", -1)) {
      String[] both = quantity.split("=", 2);
      QUANTITIES.put(both[0], both[1]);
    }
    String states =
        "OK=ok GOOD=ok PASS=ok STABLE=ok READY=ok HOLD=not-settled UNSTABLE=not-settled"
            + " SETTLING=not-settled TIMEOUT=not-settled NOT-SETTLED=not-settled LOW=suspect"
            + " SUSPECT=suspect FAIL=suspect WARN=suspect ABORT=aborted ABORTED=aborted STOP=aborted";
    for (String state : states.split(" ", -1)) {
      String[] both = state.split("=", 2);
      STATES.put(both[0], both[1]);
    }
  }

  private MeterWords() {}

  /** Returns the UCUM unit that a meter's word probably means. */
  static Optional<String> unit(String word) {
    return Optional.ofNullable(UNITS.get(word));
  }

  /** Returns the quantity that is most often in a unit; empty if none is. */
  static String quantity(String unit) {
    return QUANTITIES.getOrDefault(unit, "");
  }

  /** Returns what of itself a meter says behind a word: its firmware or serial; else nothing. */
  static Optional<String> identity(String word) {
    return switch (word.toUpperCase(Locale.ROOT)) {
      case "FW", "FIRMWARE", "VERSION", "VER", "REV", "REVISION", "SW", "SOFTWARE" ->
          Optional.of("firmware");
      case "SERIAL", "SN", "SERNO" -> Optional.of("serial");
      default -> Optional.empty();
    };
  }

  /**
   * Returns the phases by the words that begin lines, where three of them differ in their last
   * letter or digit alone, as {@code R1}, {@code R2}, {@code R3}.
   */
  static Map<String, String> phases(Set<String> words) {
    Map<String, String> phases = new LinkedHashMap<>();
    for (String three : List.of("ABC", "abc", "123", "UVW", "uvw", "RST")) {
      for (String word : words) {
        String begins = word.substring(0, word.length() - 1);
        boolean all =
            three.chars().allMatch(last -> words.contains(begins + Character.toString(last)));
        int at = three.indexOf(word.charAt(word.length() - 1));
        if (all && at >= 0 && !word.equals("ABC".substring(at, at + 1))) {
          phases.putIfAbsent(word, "ABC".substring(at, at + 1));
        }
      }
    }
    return phases;
  }

  /** Returns the test that gives such quantities; empty if none is likely. */
  static String test(Set<String> quantities) {
    for (String test : List.of("winding-resistance", "insulation-resistance", "turns-ratio")) {
      if (quantities.contains(test)) {
        return test;
      }
    }
    return quantities.contains("short-circuit-loss") ? "short-circuit-impedance" : "";
  }

  static Optional<String> state(String word) {
    return Optional.ofNullable(STATES.get(word.toUpperCase(Locale.ROOT)));
  }

  /** Returns why there is no number, by what stands in its place. */
  static String reason(String mark) {
    if (mark.startsWith("<") || mark.equals("UNDER")) {
      return "under-range";
    }
    return mark.startsWith("-") || mark.equals("OPEN") ? "open" : "over-range";
  }
}
