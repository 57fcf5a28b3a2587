package org.tallywire.acceptance.related;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.tallywire.acceptance.related.InsulationTemperature.OIL_FILLED_HALVING;
import static org.tallywire.acceptance.related.InsulationTemperature.OIL_FILLED_TABLE;
import static org.tallywire.acceptance.related.InsulationTemperature.ROTATING_HALVING;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.function.Executable;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;

/** Insulation resistance: temperature, ratios in time, and least values. */
class InsulationTest {

  private static BigDecimal n(String number) {
    return new BigDecimal(number);
  }

  private static void same(String expected, BigDecimal actual) {
    assertEquals(0, n(expected).compareTo(actual), () -> "expected " + expected + ": " + actual);
  }

  // found: table of a technical library
  @ParameterizedTest
  @CsvSource({
    "0,0.25", "5,0.36", "10,0.50", "15,0.74", "20,1.00", "25,1.40", "30,1.98", "35,2.80",
    "40,3.95", "45,5.60", "50,7.85", "55,11.20", "60,15.85", "65,22.40", "70,31.75", "75,44.70"
  })
  void factorsOfTheTable(BigDecimal temperature, String factor) {
    same(factor, OIL_FILLED_TABLE.factor(temperature));
    // derived: the rule of halving agrees
    double rule = OIL_FILLED_HALVING.factor(temperature).doubleValue();
    double most = temperature.intValue() == 15 ? 0.045 : 0.02;
    assertEquals(1, rule / Double.parseDouble(factor), most);
  }

  // found: 1200 MΩ at 35 °C is 3360 MΩ at 20 °C
  @Test
  void workedExample() {
    same("3360", OIL_FILLED_TABLE.corrected(n("1200"), n("35")));
  }

  // arithmetic: geometric mean of neighbours, and a share of 0.4
  @ParameterizedTest
  @CsvSource({"37.5,3.3256578", "27,1.6082105", "72.5,37.672603", "2.5,0.3"})
  void betweenThePointsOfTheTable(BigDecimal temperature, String factor) {
    same(factor, OIL_FILLED_TABLE.factor(temperature));
  }

  // derived
  @ParameterizedTest
  @CsvSource({"35,2.8284271", "50,8", "75,45.254834", "0,0.25", "20,1"})
  void ruleOfHalving(BigDecimal temperature, String factor) {
    same(factor, OIL_FILLED_HALVING.factor(temperature));
  }

  // formula found in its second form, IEEE 43 from memory; numbers derived
  @Test
  void rotatingMachines() {
    same("50", ROTATING_HALVING.corrected(n("100"), n("30")));
    same("0.35355339", ROTATING_HALVING.factor(n("25")));
    same("64", ROTATING_HALVING.factor(n("100")));
    same("0.0625", ROTATING_HALVING.factor(n("0")));
    for (int t = 0; t <= 100; t++) {
      // its coefficients are rounded
      double second = Math.pow(10, 0.0301 * t - 1.2041);
      assertEquals(
          1, ROTATING_HALVING.factor(BigDecimal.valueOf(t)).doubleValue() / second, 7.5e-4);
    }
  }

  @Test
  void correctedResistancesHaveEightDigits() {
    same("353.90694", ROTATING_HALVING.corrected(n("1001"), n("25")));
  }

  @Test
  void factorsRiseWithTemperature() {
    for (InsulationTemperature rule : InsulationTemperature.values()) {
      BigDecimal before = rule.factor(n("0"));
      for (BigDecimal t = n("0.5"); rule.covers(t); t = t.add(n("0.5"))) {
        BigDecimal factor = rule.factor(t);
        assertEquals(1, factor.compareTo(before), rule + " at " + t);
        before = factor;
      }
      same("1", rule.factor(rule.reference()));
    }
  }

  @Test
  void outsideItsRangeARuleSaysNothing() {
    assertTrue(OIL_FILLED_TABLE.covers(n("0")));
    assertFalse(OIL_FILLED_TABLE.covers(n("-0.01")));
    assertTrue(OIL_FILLED_TABLE.covers(n("75")));
    assertFalse(OIL_FILLED_TABLE.covers(n("75.01")));
    assertFalse(ROTATING_HALVING.covers(n("100.01")));
    refused(
        "an insulation resistance at 75.01 °C cannot be brought to 20 °C: the rule is for 0 to 75"
            + " °C",
        () -> OIL_FILLED_TABLE.factor(n("75.01")));
    refused(
        "an insulation resistance at -1 °C cannot be brought to 40 °C: the rule is for 0 to 100 °C",
        () -> ROTATING_HALVING.corrected(n("5"), n("-1")));
    refused(
        "the insulation resistance is 0, which is not above zero",
        () -> OIL_FILLED_HALVING.corrected(n("0"), n("20")));
  }

  @Test
  void rulesSayWhereTheyComeFrom() {
    assertEquals("found", OIL_FILLED_TABLE.certainty());
    assertEquals("derived", OIL_FILLED_HALVING.certainty());
    assertEquals("memory", ROTATING_HALVING.certainty());
    assertTrue(OIL_FILLED_TABLE.source().contains("NETA table 100.14 has 0.75 for 15 °C"));
    assertTrue(OIL_FILLED_HALVING.source().startsWith("rule 2^((T - 20) / 10)"));
    assertTrue(ROTATING_HALVING.source().startsWith("K_T = 0.5^((40 - T) / 10)"));
  }

  // derived
  @Test
  void ratiosInTime() {
    same("1.5", Absorption.polarisationIndex(n("2000"), n("3000")));
    same("1.25", Absorption.dielectricAbsorptionRatio(n("1600"), n("2000")));
    assertEquals(
        n("1").divide(n("3"), new MathContext(34, RoundingMode.HALF_EVEN)),
        Absorption.polarisationIndex(n("3"), n("1")));
    refused(
        "the insulation resistance at one minute is 0, which is not above zero",
        () -> Absorption.polarisationIndex(n("0"), n("1")));
    refused(
        "the insulation resistance at ten minutes is -1, which is not above zero",
        () -> Absorption.polarisationIndex(n("1"), n("-1")));
    refused(
        "the insulation resistance at 30 seconds is 0, which is not above zero",
        () -> Absorption.dielectricAbsorptionRatio(n("0"), n("1")));
    refused(
        "the insulation resistance at 60 seconds is 0, which is not above zero",
        () -> Absorption.dielectricAbsorptionRatio(n("1"), n("0")));
  }

  // found in a secondary page of IEEE 43: above 5000 MΩ
  @Test
  void anIndexOfAVeryHighResistanceMayMeanNothing() {
    assertFalse(Absorption.indexMayMeanNothing(n("5000")));
    assertTrue(Absorption.indexMayMeanNothing(n("5000.1")));
  }

  // secondary summary of IEEE 43-2013 (found)
  @ParameterizedTest
  @CsvSource({
    "0.5,poor",
    "0.999,poor",
    "1,questionable",
    "1.999,questionable",
    "2,okay",
    "4.0,okay",
    "4.001,good"
  })
  void wordsForRotatingMachines(BigDecimal index, String word) {
    assertEquals(word, AbsorptionScale.INDEX_ROTATING.word(index));
  }

  // from memory
  @ParameterizedTest
  @CsvSource({
    "0.999,dangerous",
    "1.0,poor",
    "1.099,poor",
    "1.1,questionable",
    "1.249,questionable",
    "1.25,fair",
    "2,fair",
    "2.001,good"
  })
  void wordsForTransformers(BigDecimal index, String word) {
    assertEquals(word, AbsorptionScale.INDEX_TRANSFORMER.word(index));
  }

  // practice
  @ParameterizedTest
  @CsvSource({
    "0.99,bad",
    "1.0,questionable",
    "1.25,questionable",
    "1.399,questionable",
    "1.4,good",
    "1.6,good",
    "1.601,excellent"
  })
  void wordsForAbsorptionRatios(BigDecimal ratio, String word) {
    assertEquals(word, AbsorptionScale.ABSORPTION_RATIO.word(ratio));
  }

  // 1.5 from memory, 2.0 found in a secondary page of IEEE 43
  @Test
  void leastIndexOfRotatingMachines() {
    assertEquals("below minimum", AbsorptionScale.INDEX_CLASS_A.word(n("1.499")));
    assertEquals("met", AbsorptionScale.INDEX_CLASS_A.word(n("1.5")));
    assertEquals("below minimum", AbsorptionScale.INDEX_CLASS_B_F_H.word(n("1.999")));
    assertEquals("met", AbsorptionScale.INDEX_CLASS_B_F_H.word(n("2")));
    assertEquals("memory", AbsorptionScale.INDEX_CLASS_A.certainty());
    assertEquals("found", AbsorptionScale.INDEX_CLASS_B_F_H.certainty());
    refused(
        "the ratio of insulation resistances is 0, which is not above zero",
        () -> AbsorptionScale.INDEX_CLASS_A.word(n("0")));
  }

  private static void refused(String sentence, Executable what) {
    assertEquals(sentence, assertThrows(IllegalArgumentException.class, what).getMessage());
  }
}
