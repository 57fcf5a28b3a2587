package org.tallywire.acceptance.related;

import java.math.BigDecimal;
import java.util.List;

/**
 * A scale that gives a polarisation index or dielectric absorption ratio a word. Such words are
 * information: the index is no fair criterion for oil-filled transformers (found in a testing
 * article). A ratio on a boundary has the better word, but where the scale says "above" the word
 * before (practice).
 *
 * @param name of the scale
 * @param source where it comes from
 * @param certainty how sure it is: found, memory, derived or practice
 * @param bands lowest first, the first from zero
 */
public record AbsorptionScale(String name, String source, String certainty, List<Band> bands) {

  /** Least polarisation index of rotating machines with insulation of class A (105 °C). */
  public static final AbsorptionScale INDEX_CLASS_A =
      new AbsorptionScale(
          "polarisation index, class A",
          "IEEE 43",
          "memory",
          List.of(at("0", "below minimum"), at("1.5", "met")));

  /** Least polarisation index of rotating machines with insulation of class B, F or H. */
  public static final AbsorptionScale INDEX_CLASS_B_F_H =
      new AbsorptionScale(
          "polarisation index, class B, F and H",
          "IEEE 43, in a secondary page",
          "found",
          List.of(at("0", "below minimum"), at("2.0", "met")));

  /** Words for a polarisation index of rotating machines. */
  public static final AbsorptionScale INDEX_ROTATING =
      new AbsorptionScale(
          "polarisation index, rotating machines",
          "IEEE 43-2013, in a secondary summary",
          "found",
          List.of(at("0", "poor"), at("1", "questionable"), at("2", "okay"), above("4", "good")));

  /** Words for a polarisation index of power transformers. */
  public static final AbsorptionScale INDEX_TRANSFORMER =
      new AbsorptionScale(
          "polarisation index, power transformers",
          "IEEE 62, C57.152 and FIST 3-31",
          "memory",
          List.of(
              at("0", "dangerous"),
              at("1.0", "poor"),
              at("1.1", "questionable"),
              at("1.25", "fair"),
              above("2.0", "good")));

  /**
   * Words for a dielectric absorption ratio. Some let "questionable" end at 1.25 and have no word
   * up to 1.4.
   */
  public static final AbsorptionScale ABSORPTION_RATIO =
      new AbsorptionScale(
          "dielectric absorption ratio",
          "no source",
          "practice",
          List.of(
              at("0", "bad"),
              at("1.0", "questionable"),
              at("1.4", "good"),
              above("1.6", "excellent")));

  /**
   * One word of a scale.
   *
   * @param from least ratio
   * @param above whether that ratio itself still has the word before
   * @param word for ratios up to the next band
   */
  public record Band(BigDecimal from, boolean above, String word) {

    boolean reached(BigDecimal ratio) {
      int order = ratio.compareTo(from);
      return above ? order > 0 : order >= 0;
    }
  }

  public AbsorptionScale {
    bands = List.copyOf(bands);
  }

  /**
   * Returns the word for a ratio.
   *
   * @throws IllegalArgumentException for a ratio that is not above zero
   */
  public String word(BigDecimal ratio) {
    Positive.check("ratio of insulation resistances", ratio);
    String word = bands.get(0).word();
    for (Band band : bands) {
      if (band.reached(ratio)) {
        word = band.word();
      }
    }
    return word;
  }

  private static Band at(String from, String word) {
    return new Band(new BigDecimal(from), false, word);
  }

  private static Band above(String from, String word) {
    return new Band(new BigDecimal(from), true, word);
  }
}
