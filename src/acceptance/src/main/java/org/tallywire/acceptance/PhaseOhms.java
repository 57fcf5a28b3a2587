package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.tallywire.acceptance.resistance.LineResistances;
import org.tallywire.acceptance.resistance.PhaseResistances;
import org.tallywire.acceptance.winding.WindingGroup;
import org.tallywire.acceptance.winding.WindingGroup.Connection;

/**
 * The resistance of each phase winding of one side, from three readings at one temperature: as it
 * was read where the leads were on the neutral, else from the lines by exact inversion for the
 * side's connection.
 *
 * @param phases the letter of each: that of its line terminal, or in a delta that of the step whose
 *     leads were on its two ends
 * @param names of the windings, for example U or U-V
 * @param ohms of each
 */
record PhaseOhms(List<String> phases, List<String> names, List<BigDecimal> ohms) {

  private static final Pattern PAIR =
      Pattern.compile("[12]([UVWN])-[12]([UVWN])", Pattern.CASE_INSENSITIVE);
  private static final List<String> LINES = List.of("U", "V", "W");

  PhaseOhms {
    phases = List.copyOf(phases);
    names = List.copyOf(names);
    ohms = List.copyOf(ohms);
  }

  /** Returns the readings as they are, by the letter of their steps. */
  static PhaseOhms asRead(List<BookedReading> readings, List<BigDecimal> ohms) {
    List<String> letters = readings.stream().map(b -> b.step().phase()).toList();
    return new PhaseOhms(letters, letters, ohms);
  }

  /**
   * Returns the phases behind the readings.
   *
   * @param readings of the three phases
   * @param ohms theirs, in the same order
   */
  static PhaseOhms ofWindings(
      List<BookedReading> readings, List<BigDecimal> ohms, WindingGroup group)
      throws UndecidableException {
    List<String> ends = new ArrayList<>();
    for (BookedReading reading : readings) {
      ends.add(ends(reading.step().terminals()));
    }
    if (ends.containsAll(List.of("UN", "VN", "WN"))) {
      return asRead(readings, ohms);
    }
    if (!ends.containsAll(List.of("UV", "VW", "UW"))) {
      throw new UndecidableException(
          "the leads were on %s, neither on three pairs of lines nor on three lines and the neutral"
              .formatted(
                  String.join(", ", readings.stream().map(b -> b.step().terminals()).toList())),
          "Take all three phases again with the leads on the terminals of the steps.");
    }
    LineResistances lines =
        new LineResistances(
            ohms.get(ends.indexOf("UV")),
            ohms.get(ends.indexOf("VW")),
            ohms.get(ends.indexOf("UW")));
    if (!lines.impossible().isEmpty()) {
      throw new UndecidableException(
          lines.impossible(),
          "Run the current down and let the winding discharge; then check every lead, and take all"
              + " three again.");
    }
    PhaseResistances windings = lines.phases(connection(readings.get(0).step(), group));
    List<String> letters =
        windings.connection() == Connection.DELTA
            ? List.of("UV", "VW", "UW").stream()
                .map(pair -> readings.get(ends.indexOf(pair)).step().phase())
                .toList()
            : Step.PHASES;
    return new PhaseOhms(letters, windings.names(), windings.values());
  }

  /** Returns two terminals in the order U, V, W, N; empty for other leads. */
  private static String ends(String terminals) {
    Matcher m = PAIR.matcher(terminals);
    if (!m.matches()) {
      return "";
    }
    String one = m.group(1).toUpperCase(Locale.ROOT);
    String other = m.group(2).toUpperCase(Locale.ROOT);
    return rank(one) <= rank(other) ? one + other : other + one;
  }

  private static int rank(String terminal) {
    int line = LINES.indexOf(terminal);
    return line < 0 ? LINES.size() : line;
  }

  private static Connection connection(Step step, WindingGroup group) {
    return step.windings().equals(Step.HV) ? group.hv() : group.lv();
  }
}
