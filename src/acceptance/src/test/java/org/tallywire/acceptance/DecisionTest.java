package org.tallywire.acceptance;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.util.List;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.tallywire.acceptance.Verdict.State;

/** Four states with a guard band of U (ILAC-G8:09/2019; boundary on the better side: practice). */
class DecisionTest {

  @ParameterizedTest
  @CsvSource({
    // worked example with limit 0.5 % (derived)
    "0.45,0.5,0.10,CONDITIONAL_PASS",
    "0.45,0.5,0.04,PASS",
    "0.52,0.5,0.10,CONDITIONAL_FAIL",
    "0.65,0.5,0.10,FAIL",
    // boundaries
    "0.4,0.5,0.1,PASS",
    "0.4000000000000000000000000000000001,0.5,0.1,CONDITIONAL_PASS",
    "0.500,0.5,0.1,CONDITIONAL_PASS",
    "0.5000000000000000000000000000000001,0.5,0.1,CONDITIONAL_FAIL",
    "0.6,0.5,0.1,CONDITIONAL_FAIL",
    "0.6000000000000000000000000000000001,0.5,0.1,FAIL",
    // no uncertainty: two states
    "10,10,0,PASS",
    "10.0000000001,10,0,FAIL",
    // more uncertainty than limit: never a plain pass
    "0,0.5,0.7,CONDITIONAL_PASS"
  })
  void makesFourStates(
      BigDecimal deviation, BigDecimal limit, BigDecimal uncertainty, State expected) {
    assertEquals(expected, Decision.state(deviation, limit, uncertainty));
    assertEquals(expected, Decision.state(deviation.negate(), limit, uncertainty));
  }

  // decided on unrounded values (ASTM E29, absolute method; from memory): 0.54 % fails at 0.5 %
  @Test
  void doesNotRoundBeforeDeciding() {
    assertTrue(Decision.state(Samples.n("0.54"), Samples.n("0.5"), Samples.n("0")).failed());
  }

  // ties go to the even multiple (ISO 80000-1:2009, annex B, rule A; from memory)
  @Test
  void figuresForTheRecordAreRoundedHalfEven() {
    assertEquals(Samples.n("1.2345678"), Figures.computed(Samples.n("1.23456785")));
    assertEquals(Samples.n("1.2345678"), Figures.computed(Samples.n("1.23456775")));
    assertEquals("1234567800", Figures.computed(Samples.n("1234567850")).toPlainString());
    assertEquals(Samples.n("0.000002"), Figures.deviation(Samples.n("0.0000025")));
    assertEquals(Samples.n("-0.000004"), Figures.deviation(Samples.n("-0.0000035")));
  }

  @Test
  void criteriaThatCannotBeAreRefused() {
    IllegalArgumentException limit =
        assertThrows(IllegalArgumentException.class, () -> Samples.ratioDeviation("0", true));
    assertEquals(
        "criterion ratio-deviation has limit 0, which is not above zero", limit.getMessage());
    Rule rule = new Rule("invented", "this test", Rule.Certainty.PRACTICE);
    assertThrows(
        IllegalArgumentException.class,
        () ->
            new Criterion.ExcitationPattern(
                Samples.n("50"), Samples.n("10"), Samples.n("5"), Samples.n("-1"), rule));
    assertThrows(
        IllegalArgumentException.class,
        () ->
            new CriteriaTable(
                "t",
                "1",
                "d",
                List.of(Samples.ratioDeviation("1", true), Samples.ratioDeviation("2", true))));
  }

  @Test
  void aFindingIsOnAPhaseOrOnAll() {
    assertEquals("all", new Finding("all", "invented").phase());
    assertThrows(IllegalArgumentException.class, () -> new Finding("", "invented"));
  }
}
