package org.tallywire.simulator.scenario;

import java.util.Locale;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * A winding connection as the plate states it, for example {@code Dyn11} (IEC 60076-1, from memory:
 * HV in capitals, N or n for a neutral that is brought out, the clock number is the lag of LV).
 *
 * @param clock 0 to 11
 */
public record Group(Connection hv, boolean hvNeutral, Connection lv, boolean lvNeutral, int clock) {

  private static final Pattern TEXT =
      Pattern.compile("(YN|Y|D|ZN|Z|I)(yn|y|d|zn|z|i)(1[01]|[0-9])");

  /** How the phases of a winding are joined. */
  public enum Connection {
    /** Star. */
    Y,
    /** Delta. */
    D,
    /** Zigzag: each phase has half of its turns on the next limb, reversed. */
    Z,
    /** One phase alone. */
    I
  }

  /**
   * Reads a plate's text.
   *
   * @throws IllegalArgumentException if there is no such group, with words that go on after it:
   *     even clock numbers join like with like or delta with zigzag, odd ones star with delta or
   *     zigzag; single-phase has 0 and 6
   */
  public static Group of(String text) {
    Matcher matcher = TEXT.matcher(text);
    if (!matcher.matches()) {
      throw new IllegalArgumentException(
          "is not a winding group; write for example Dyn11, YNd1, Yzn5 or Ii0");
    }
    String high = matcher.group(1);
    String low = matcher.group(2).toUpperCase(Locale.ROOT);
    return new Group(
        Connection.valueOf(high.substring(0, 1)),
        high.length() > 1,
        Connection.valueOf(low.substring(0, 1)),
        low.length() > 1,
        Integer.parseInt(matcher.group(3)));
  }

  /** A group; see {@link #of} for which there are. */
  public Group {
    boolean single = hv == Connection.I;
    if (single != (lv == Connection.I)) {
      throw new IllegalArgumentException("joins a single-phase winding with a three-phase one");
    }
    boolean odd = (hv == Connection.Y) != (lv == Connection.Y);
    if (single ? clock % 6 != 0 : (clock % 2 == 1) != odd) {
      throw new IllegalArgumentException(
          "is impossible: windings connected %s and %s have %s clock numbers"
              .formatted(hv, lv, single ? "0 or 6 as" : odd ? "odd" : "even"));
    }
  }

  /** Returns whether it is of a single-phase unit. */
  public boolean singlePhase() {
    return hv == Connection.I;
  }

  /** Returns how the phases of a winding are joined. */
  public Connection connection(Winding winding) {
    return winding == Winding.HV ? hv : lv;
  }

  /** Returns whether the neutral of a winding is brought out. */
  public boolean neutral(Winding winding) {
    return winding == Winding.HV ? hvNeutral : lvNeutral;
  }

  /** Returns whether a unit of the other group has the same terminals. */
  public boolean sameTerminals(Group other) {
    return singlePhase() == other.singlePhase()
        && hvNeutral == other.hvNeutral
        && lvNeutral == other.lvNeutral;
  }

  /** Returns the group as the plate states it. */
  @Override
  public String toString() {
    return hv
        + (hvNeutral ? "N" : "")
        + lv.name().toLowerCase(Locale.ROOT)
        + (lvNeutral ? "n" : "")
        + clock;
  }
}
