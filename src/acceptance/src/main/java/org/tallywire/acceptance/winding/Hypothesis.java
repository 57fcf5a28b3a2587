package org.tallywire.acceptance.winding;

import java.math.BigDecimal;
import java.util.List;
import java.util.Optional;

/**
 * One connection that may have given some readings, held against them.
 *
 * @param kind what it takes to be wrong
 * @param sentence says it, for example {@code The readings fit Dyn11 with the LV leads 2u and 2v
 *     swapped.}
 * @param group the group it takes the unit to have
 * @param deviations of each observation in %, to four decimals, with a ratio of the wrong sense
 *     taken as negative; empty where this connection has no ratio to compare with
 * @param worst the deviation that is farthest from zero, in %, to four decimals
 * @param fitting how many observations it explains
 * @param open how many observations it neither explains nor contradicts, because they depend on
 *     reluctances
 * @param toldApart which observations, from 0, tell it from the plate; of the plate itself, those
 *     that a single mistake would contradict
 */
public record Hypothesis(
    Kind kind,
    String sentence,
    WindingGroup group,
    List<Optional<BigDecimal>> deviations,
    BigDecimal worst,
    int fitting,
    int open,
    List<Integer> toldApart) {

  /** What is wrong. */
  public enum Kind {
    AS_RATED("as-rated"),
    LEADS_SWAPPED("leads-swapped"),
    LEADS_MOVED_ON("leads-moved-on"),
    WINDING_REVERSED("winding-reversed"),
    SIDE_REVERSED("side-reversed"),
    OTHER_TAP("other-tap"),
    OTHER_TAP_ON_ONE_PHASE("other-tap-on-one-phase"),
    NEUTRAL_MISSING("neutral-missing"),
    LINE_FOR_PHASE("line-for-phase"),
    OTHER_GROUP("other-group");

    private final String word;

    Kind(String word) {
      this.word = word;
    }

    /** Returns the word for it in records. */
    public String word() {
      return word;
    }
  }

  public Hypothesis {
    deviations = List.copyOf(deviations);
    toldApart = List.copyOf(toldApart);
  }
}
