package org.tallywire.acceptance.winding;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.List;
import java.util.Locale;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.tallywire.acceptance.figure.Roots;

/**
 * How the windings of a transformer are connected, for example Dyn11 or, single-phase, Ii0 (clock
 * notation of IEC 60076-1, clause from memory: HV letter, LV letter, hours by which LV lags).
 *
 * @param hv connection of the HV side
 * @param lv connection of the LV side
 * @param hvNeutral whether the HV neutral is brought out; never with a delta
 * @param lvNeutral likewise for LV
 * @param hour 0 to 11; even between two stars, two deltas or zigzags, or a delta and a zigzag; odd
 *     otherwise. Source of the parity: the 36 groups of the Modelica Standard Library for a star or
 *     delta HV side; circuit theory for a zigzag one. Single-phase it is 0 or 6.
 */
public record WindingGroup(
    Connection hv, Connection lv, boolean hvNeutral, boolean lvNeutral, int hour) {

  private static final Pattern DESIGNATION =
      Pattern.compile("(YN|Y|D|ZN|Z|I)(yn|y|d|zn|z|i)(0|[1-9]|10|11)");
  private static final int HOURS = 12;

  public WindingGroup {
    if ((hvNeutral && hv == Connection.DELTA) || (lvNeutral && lv == Connection.DELTA)) {
      throw new IllegalArgumentException(
          "a winding group with a delta (D or d) has no neutral on that side: leave out the N or n");
    }
    if (hour < 0 || hour >= HOURS) {
      throw new IllegalArgumentException("the hour of a winding group is 0 to 11, not " + hour);
    }
    checkSinglePhase(hv, lv, hvNeutral || lvNeutral, hour);
    boolean odd = hv.turnsTheClock != lv.turnsTheClock;
    if (odd != (hour % 2 == 1)) {
      throw new IllegalArgumentException(
          "%s%s has only %s hours, not %d: check the group on the nameplate"
              .formatted(
                  hv.letter, lv.letter.toLowerCase(Locale.ROOT), odd ? "odd" : "even", hour));
    }
  }

  private static void checkSinglePhase(Connection hv, Connection lv, boolean neutral, int hour) {
    if (hv != Connection.SINGLE && lv != Connection.SINGLE) {
      return;
    }
    if (hv != lv || neutral || hour % 6 != 0) {
      throw new IllegalArgumentException(
          "a single-phase group is Ii0 or Ii6, not %s%s%s with hour %d"
              .formatted(
                  hv.letter,
                  lv.letter.toLowerCase(Locale.ROOT),
                  neutral ? " with a neutral" : "",
                  hour));
    }
  }

  /** Tells whether there is a group of these connections with this hour, from 0 to 11. */
  static boolean exists(Connection hv, Connection lv, int hour) {
    if (hv == Connection.SINGLE || lv == Connection.SINGLE) {
      return hv == lv && hour % 6 == 0;
    }
    return (hv.turnsTheClock != lv.turnsTheClock) == (hour % 2 == 1);
  }

  /** Returns the phase letters: A, B and C, single-phase A alone. */
  public List<String> phases() {
    return hv == Connection.SINGLE ? List.of("A") : List.of("A", "B", "C");
  }

  /**
   * Returns the group with the given designation, for example {@code YNd1}.
   *
   * @throws IllegalArgumentException with a sentence, if there is no such group
   */
  public static WindingGroup parse(String designation) {
    Matcher m = DESIGNATION.matcher(designation);
    if (!m.matches()) {
      throw new IllegalArgumentException(
          ("winding group \"%s\" is not understood: write the HV letter Y, D or Z, the LV letter"
                  + " y, d or z, each with N or n where the neutral is brought out, and the hour 0"
                  + " to 11, for example Dyn11 or YNd1; single-phase Ii0 or Ii6")
              .formatted(designation));
    }
    return new WindingGroup(
        Connection.of(m.group(1)),
        Connection.of(m.group(2)),
        m.group(1).endsWith("N"),
        m.group(2).endsWith("n"),
        Integer.parseInt(m.group(3)));
  }

  /**
   * Returns the turns of one HV phase winding over the turns of one whole LV phase winding, for a
   * line-to-line voltage ratio of 1. Each side's line voltage is its winding voltage times 1
   * (delta), √3 (star) or 3/2 (zigzag, both halves together). Agrees with the winding-ratio formula
   * of the Modelica Standard Library, PartialBasicTransformer.
   */
  public BigDecimal windingRatioFactor() {
    return lv.lineOverWinding.divide(hv.lineOverWinding, MathContext.DECIMAL128);
  }

  @Override
  public String toString() {
    return hv.letter
        + (hvNeutral ? "N" : "")
        + lv.letter.toLowerCase(Locale.ROOT)
        + (lvNeutral ? "n" : "")
        + hour;
  }

  /** How the windings of one side are connected. */
  public enum Connection {
    STAR("Y", Roots.THREE, false),
    DELTA("D", BigDecimal.ONE, true),
    ZIGZAG("Z", new BigDecimal("1.5"), true),
    /** One phase; it has no neutral. */
    SINGLE("I", BigDecimal.ONE, false);

    private final String letter;
    private final BigDecimal lineOverWinding;
    private final boolean turnsTheClock;

    Connection(String letter, BigDecimal lineOverWinding, boolean turnsTheClock) {
      this.letter = letter;
      this.lineOverWinding = lineOverWinding;
      this.turnsTheClock = turnsTheClock;
    }

    public String letter() {
      return letter;
    }

    private static Connection of(String designation) {
      return switch (designation.charAt(0)) {
        case 'Y', 'y' -> STAR;
        case 'D', 'd' -> DELTA;
        case 'I', 'i' -> SINGLE;
        default -> ZIGZAG;
      };
    }
  }
}
