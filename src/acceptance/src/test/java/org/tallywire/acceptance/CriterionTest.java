package org.tallywire.acceptance;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertNotEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;

import java.math.BigDecimal;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.EnumSource;
import org.tallywire.acceptance.Criterion.Kind;
import org.tallywire.acceptance.Question.Allowance;
import org.tallywire.acceptance.resistance.SettlingRule;
import org.tallywire.api.Unit;

/** What a criterion takes for a setting, and what its uncertainty is worth. */
class CriterionTest {

  private static final Rule RULE = new Rule("invented", "this test", Rule.Certainty.PRACTICE);

  private static String refused(Kind kind, Map<String, String> settings, String uncertainty) {
    Optional<BigDecimal> expanded = Optional.of(new BigDecimal(uncertainty));
    return assertThrows(
            IllegalArgumentException.class, () -> new Criterion(kind, settings, expanded, RULE))
        .getMessage();
  }

  @Test
  void everySettingThatCannotBeIsTold() {
    assertEquals(
        "criterion ratio-deviation cannot be: there is no setting moon; limit is 0, which is not"
            + " above zero; nearest-turn is \"perhaps\", not one of [true, false]; the uncertainty"
            + " -1 is below zero",
        refused(
            Kind.RATIO_DEVIATION,
            Map.of("moon", "1", "limit", "0", "nearest-turn", "perhaps"),
            "-1"));
    assertEquals(
        "criterion test-current cannot be: limit is \"ten\", which is no decimal; caution is"
            + " missing; least-of-no-load is missing",
        refused(Kind.TEST_CURRENT, Map.of("limit", "ten"), "0"));
  }

  @Test
  void whatIsLeftOutHasItsDefault() {
    Criterion criterion =
        new Criterion(
            Kind.RESISTANCE_UNBALANCE, Map.of("limit", "2"), Optional.of(BigDecimal.ZERO), RULE);
    assertEquals(
        Map.of("limit", "2", "definition", "range-of-mean", "of", "as-read"), criterion.settings());
  }

  @ParameterizedTest
  @EnumSource(Kind.class)
  void aKindIsFoundByItsWord(Kind kind) {
    assertEquals(Optional.of(kind), Kind.of(kind.word()));
    assertEquals(Optional.empty(), Kind.of(kind.word() + "s"));
  }

  @Test
  void wordsOfRecordsAreThoseOfTheirKinds() {
    assertEquals(Optional.of(Finding.Kind.HINT), Finding.Kind.of("hint"));
    assertEquals(Optional.empty(), Finding.Kind.of("Hint"));
    assertEquals("seen", Finding.Kind.SEEN.word());
    assertEquals(Optional.of(CoreForm.FIVE_LIMB), CoreForm.of("five-limb"));
    assertEquals(Optional.empty(), CoreForm.of("five"));
    assertEquals(Optional.of(TapChanger.Kind.DE_ENERGISED), TapChanger.Kind.of("de-energised"));
    assertEquals(Optional.empty(), TapChanger.Kind.of("off-load"));
    assertEquals(Optional.of(Rule.Certainty.MEMORY), Rule.Certainty.of("memory"));
    assertEquals(Optional.empty(), Rule.Certainty.of("sure"));
    assertEquals("derived", Rule.Certainty.DERIVED.word());
  }

  // JCGM 106 clause 7 (memory): Φ((limit − |figure|) / u), with u = U / k = 0.05; of the normal
  // distribution's table Φ(1) = 0.8413, Φ(2) = 0.9772, Φ(0) = 0.5
  @ParameterizedTest
  @CsvSource({"0.45, 0.8413", "-0.45, 0.8413", "0.40, 0.9772", "0.5, 0.5000", "0.60, 0.0228"})
  @DisplayName("JCGM 106: the probability of conformance is that of the figure's distribution")
  void conformance(BigDecimal figure, String probability) {
    assertEquals(Optional.of(new BigDecimal(probability)), question("0.1").conformance(figure));
  }

  @Test
  void withoutUncertaintyThereIsNoProbability() {
    assertEquals(Optional.empty(), question("0").conformance(new BigDecimal("0.45")));
  }

  private static Question question(String expanded) {
    Nameplate plate = Samples.dyn11();
    Step step = Samples.step(plate, "turns-ratio/HV-LV/A/3");
    return new Case(plate, Samples.table())
        .question(
            Samples.ratioDeviation("0.5", false),
            step.id(),
            List.of(Samples.booked(step, 1, Samples.ratioValues("44", "4"))),
            Unit.ONE,
            new BigDecimal("0.5"),
            new Allowance(new BigDecimal(expanded), Allowance.TWO));
  }

  @Test
  void whatWasFoundOfOneRunIsNotSaidOfAnother() {
    Step step = Samples.step(Samples.dyn11(), "winding-resistance/LV/A");
    Evidence falling = new Evidence();
    BookedReading last = null;
    for (int i = 0; i < 6; i++) {
      last = Samples.booked(step, 10 * i, Samples.resistanceValues("0.00" + (29 - i), "20"));
      falling.book(last);
    }
    SettlingRule rule = SettlingRule.USUAL;
    SettlingRun whole = SettlingRun.upTo(last, falling);
    assertEquals(rule.judge(whole.stream()), falling.settling(whole, rule));
    BookedReading next = Samples.booked(step, 60, Samples.resistanceValues("0.0024", "20"));
    falling.book(next);
    SettlingRun longer = SettlingRun.upTo(next, falling);
    assertEquals(rule.judge(longer.stream()), falling.settling(longer, rule));
    assertNotEquals(falling.settling(whole, rule), falling.settling(longer, rule));
    SettlingRule wide = new SettlingRule(new BigDecimal("90"), 5, rule.confidence());
    assertEquals(wide.judge(longer.stream()), falling.settling(longer, wide));
    assertTrue(longer.stream().size() > whole.stream().size());
  }
}
