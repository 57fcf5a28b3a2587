package org.tallywire.acceptance;

import java.math.BigDecimal;
import java.math.MathContext;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import org.tallywire.acceptance.figure.Roots;
import org.tallywire.acceptance.winding.WindingGroup;
import org.tallywire.acceptance.winding.WindingGroup.Connection;

/**
 * Where the leads of a single-phase ratio measurement go: an HV pair to excite and the LV pair in
 * phase with it, for phase A; B and C follow by U → V → W → U. Source: derived from the clock
 * definition and checked against the winding netlists of the Modelica Standard Library; connection
 * tables printed in standards were not at hand.
 *
 * @param hvPair for example {@code U-V}
 * @param lvPair for example {@code u-n}
 */
record Leads(String hvPair, String lvPair) {

  private static final String RING = "UVW";

  /** Rows by letters and hour; of two, the first whose neutrals are brought out holds. */
  private static final Map<String, List<Leads>> ROWS =
      Map.ofEntries(
          Map.entry("YY0", List.of(new Leads("U-N", "u-n"), new Leads("U-V", "u-v"))),
          Map.entry("YY6", List.of(new Leads("U-N", "n-u"), new Leads("U-V", "v-u"))),
          Map.entry("DD0", List.of(new Leads("U-V", "u-v"))),
          Map.entry("DD6", List.of(new Leads("U-V", "v-u"))),
          Map.entry("DZ0", List.of(new Leads("U-V", "u-v"))),
          Map.entry("DZ6", List.of(new Leads("U-V", "v-u"))),
          Map.entry("DY1", List.of(new Leads("U-W", "u-n"))),
          Map.entry("DY5", List.of(new Leads("U-V", "n-u"))),
          Map.entry("DY7", List.of(new Leads("W-U", "u-n"))),
          Map.entry("DY11", List.of(new Leads("U-V", "u-n"))),
          Map.entry("YZ1", List.of(new Leads("U-W", "u-n"))),
          Map.entry("YZ5", List.of(new Leads("U-V", "n-u"))),
          Map.entry("YZ7", List.of(new Leads("W-U", "u-n"))),
          Map.entry("YZ11", List.of(new Leads("U-V", "u-n"))),
          Map.entry("YD1", List.of(new Leads("U-N", "u-v"))),
          Map.entry("YD5", List.of(new Leads("U-N", "w-u"))),
          Map.entry("YD7", List.of(new Leads("U-N", "v-u"))),
          Map.entry("YD11", List.of(new Leads("U-N", "u-w"))));

  /** Returns the leads for a group, if the table has a row whose terminals are brought out. */
  static Optional<Leads> of(WindingGroup group) {
    String key = group.hv().letter() + group.lv().letter() + group.hour();
    return ROWS.getOrDefault(key, List.of()).stream()
        .filter(row -> group.hvNeutral() || !row.hvNeutral())
        .filter(row -> group.lvNeutral() || !row.lvNeutral())
        .findFirst();
  }

  /**
   * Returns what the pairs read, over the line-to-line voltage ratio: a pair with a neutral has a
   * line-to-line voltage over √3. The same as the winding ratio but for a zigzag side, whose
   * windings no pair of terminals reads.
   */
  BigDecimal readingFactor() {
    if (hvNeutral() == lvNeutral()) {
      return BigDecimal.ONE;
    }
    return lvNeutral() ? Roots.THREE : BigDecimal.ONE.divide(Roots.THREE, MathContext.DECIMAL128);
  }

  /** Returns the terminals for phase A, B or C, for example {@code 1U-1V / 2u-2n}. */
  String terminals(String phase) {
    return numbered("1", turned(hvPair, phase)) + " / " + numbered("2", turned(lvPair, phase));
  }

  /** Tells whether exciting the HV pair puts the voltage on one single winding. */
  boolean excitesOneWinding(Connection hv) {
    return hv == Connection.DELTA || hvNeutral();
  }

  /**
   * Tells whether the phase letter names the limb: a neutral or a delta's star partner fixes it.
   */
  boolean namesTheLimb(WindingGroup group) {
    return excitesOneWinding(group.hv()) && (hvNeutral() || group.lv() == Connection.STAR);
  }

  /** Returns where the leads of a resistance measurement go on one side of a group. */
  static String resistance(WindingGroup group, boolean hvSide, String phase) {
    String number = hvSide ? "1" : "2";
    boolean neutral = hvSide ? group.hvNeutral() : group.lvNeutral();
    String pair =
        neutral
            ? "U-N"
            : of(group)
                .map(l -> hvSide ? l.hvPair : l.lvPair)
                .orElse("U-V")
                .toUpperCase(Locale.ROOT);
    String turned = turned(pair, phase);
    return numbered(number, hvSide ? turned : turned.toLowerCase(Locale.ROOT));
  }

  private boolean hvNeutral() {
    return hvPair.contains("N");
  }

  private boolean lvNeutral() {
    return lvPair.contains("n");
  }

  private static String numbered(String winding, String pair) {
    return winding + pair.replace("-", "-" + winding);
  }

  private static String turned(String pair, String phase) {
    int turns = phase.charAt(0) - 'A';
    StringBuilder out = new StringBuilder();
    for (int i = 0; i < pair.length(); i++) {
      char c = pair.charAt(i);
      int at = RING.indexOf(Character.toUpperCase(c));
      char next = at < 0 ? c : RING.charAt((at + turns) % RING.length());
      out.append(Character.isLowerCase(c) ? Character.toLowerCase(next) : next);
    }
    return out.toString();
  }
}
