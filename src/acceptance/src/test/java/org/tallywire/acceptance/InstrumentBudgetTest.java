package org.tallywire.acceptance;

import static org.junit.jupiter.api.Assertions.assertEquals;
import static org.junit.jupiter.api.Assertions.assertThrows;
import static org.junit.jupiter.api.Assertions.assertTrue;
import static org.tallywire.acceptance.Samples.booked;
import static org.tallywire.acceptance.Samples.n;
import static org.tallywire.acceptance.Samples.step;

import java.math.BigDecimal;
import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Random;
import java.util.stream.Collectors;
import org.junit.jupiter.api.DisplayName;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.params.ParameterizedTest;
import org.junit.jupiter.params.provider.CsvSource;
import org.junit.jupiter.params.provider.EnumSource;
import org.tallywire.acceptance.Criterion.Kind;
import org.tallywire.acceptance.Criterion.Setting;
import org.tallywire.acceptance.Question.Allowance;
import org.tallywire.acceptance.resistance.ConductorConstants;
import org.tallywire.acceptance.uncertainty.Accuracy;
import org.tallywire.acceptance.uncertainty.Decision;
import org.tallywire.api.Quantity;
import org.tallywire.api.Reading;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/**
 * Uncertainties from accuracies. All figures were computed apart from the program, in double
 * precision with another library's quantiles of Student's distribution, from the formulas of GUM
 * 5.1 (found) and G.4.1 (found) and the sensitivities that the class names (derived).
 */
class InstrumentBudgetTest {

  private static final Rule RULE = new Rule("invented", "this test", Rule.Certainty.PRACTICE);
  private static final Unit MEGOHM = new Unit("MOhm");

  private static final Map<String, Accuracy> ACCURACIES =
      Map.of(
          "turns-ratio", percent("0.1"),
          "phase-displacement", percent("0").andAbsolute(n("0.05")),
          "excitation-current", percent("0.5"),
          "test-current", percent("0.5"),
          "winding-resistance", percent("0.5"),
          "winding-temperature", percent("0").andAbsolute(n("1.0")),
          "insulation-resistance", percent("5"),
          "short-circuit-voltage", percent("0.5"),
          "short-circuit-current", percent("0.5"));

  private final SamplePlate sample = new SamplePlate();
  private final Nameplate plate = plate();

  private Nameplate plate() {
    sample.earlierRatios.put("turns-ratio/HV-LV/A/3", n("44.0"));
    sample.taps("11550", "11275", "11000", "10725", "10450");
    return sample.plate();
  }

  private static Accuracy percent(String number) {
    return Accuracy.ofReading(n(number));
  }

  private static Criterion criterion(Kind kind, String limit, Map<String, String> more) {
    Map<String, String> settings = new HashMap<>();
    for (Setting setting : kind.settings()) {
      if (setting.preset().isEmpty()) {
        settings.put(setting.name(), limit);
      }
    }
    settings.putAll(more);
    return new Criterion(kind, settings, Optional.empty(), RULE);
  }

  private static CriteriaTable table(
      Map<String, Accuracy> accuracies, Map<String, Repeatability> scatter, Criterion criterion) {
    return new CriteriaTable(
        "invented",
        "7",
        "0".repeat(64),
        Decision.guarded(BigDecimal.ONE),
        ConductorConstants.IEEE,
        accuracies,
        scatter,
        List.of(criterion));
  }

  private Allowance allowance(Criterion criterion, String limit, BookedReading... readings) {
    return allowance(Map.of(), criterion, limit, readings);
  }

  private Allowance allowance(
      Map<String, Repeatability> scatter,
      Criterion criterion,
      String limit,
      BookedReading... readings) {
    Case judged = new Case(plate, table(ACCURACIES, scatter, criterion));
    return judged.question(criterion, "a/b/c", List.of(readings), Unit.ONE, n(limit)).allowance();
  }

  private void assertAllows(String expanded, Allowance allowance) {
    assertEquals(n(expanded), allowance.expanded());
    assertEquals(n("2.0000"), allowance.coverage());
  }

  private BookedReading ratio(String phase, int tap, String ratio) {
    return booked(
        step(plate, "turns-ratio/HV-LV/" + phase + "/" + tap),
        tap,
        Samples.value(Quantity.TURNS_RATIO, ratio, Unit.ONE));
  }

  private BookedReading on(String step, Value... values) {
    return booked(step(plate, step), 1, values);
  }

  private static Value value(String quantity, String number, Unit unit) {
    return Samples.value(new Quantity(quantity), number, unit);
  }

  @Test
  @DisplayName("A ratio: accuracy and half a last digit, of the expected ratio")
  void ratioDeviation() {
    Criterion criterion = criterion(Kind.RATIO_DEVIATION, "0.5", Map.of());
    assertAllows("0.115530", allowance(criterion, "0.5", ratio("A", 3, "44.0240")));
    assertAllows(
        "0.115530",
        allowance(
            criterion(Kind.WINDING_GROUP, "3", Map.of()),
            "3",
            ratio("A", 3, "44.0240"),
            ratio("B", 3, "44.0010"),
            ratio("C", 3, "44.0230")));
  }

  @ParameterizedTest
  @DisplayName("Repeatability is of type A: few readings make a greater coverage factor")
  @CsvSource({"0.02, 4, 0.122852, 2.0096", "0.2, 4, 0.688721, 3.3068"})
  void repeatability(String percent, int readings, String expanded, String coverage) {
    Allowance allowance =
        allowance(
            Map.of("turns-ratio", new Repeatability(n(percent), readings)),
            criterion(Kind.RATIO_DEVIATION, "0.5", Map.of()),
            "0.5",
            ratio("A", 3, "44.0240"));
    assertEquals(n(expanded), allowance.expanded());
    assertEquals(n(coverage), allowance.coverage());
  }

  @Test
  @DisplayName("Compared ratios: the most uncertain of them for both, as if independent")
  void comparedRatios() {
    Criterion spread = criterion(Kind.RATIO_SPREAD, "0.3", Map.of());
    BookedReading a = ratio("A", 3, "44.02");
    BookedReading b = ratio("B", 3, "44.0240");
    BookedReading c = ratio("C", 3, "44.0100");
    assertAllows("0.164419", allowance(spread, "0.3", a, b, c));
    assertAllows("0.164419", allowance(spread, "0.3", c, a, b));
    assertAllows("0.163384", allowance(spread, "0.3", b, c));
    assertAllows(
        "0.180487",
        allowance(
            criterion(Kind.RATIO_STEPS, "0.3", Map.of()),
            "0.3",
            ratio("A", 1, "46.2010"),
            ratio("A", 3, "44.0240"),
            ratio("A", 5, "41.8010")));
    assertAllows(
        "0.163388",
        allowance(criterion(Kind.RATIO_CHANGE, "0.5", Map.of()), "0.5", ratio("A", 3, "44.0240")));
  }

  @Test
  @DisplayName("A phase displacement in degrees, currents compared in %")
  void phaseAndExcitation() {
    assertAllows(
        "0.058023",
        allowance(
            criterion(Kind.PHASE_DISPLACEMENT, "1", Map.of()),
            "1",
            on(
                "turns-ratio/HV-LV/A/3",
                Samples.value(Quantity.PHASE_DISPLACEMENT, "-0.02", Unit.DEGREE))));
    Criterion pattern = criterion(Kind.EXCITATION_PATTERN, "10", Map.of());
    BookedReading a = on("turns-ratio/HV-LV/A/3", milliamperes("4.31"));
    BookedReading c = on("turns-ratio/HV-LV/C/3", milliamperes("4.35"));
    BookedReading none = on("winding-resistance/LV/A", ohms("0.0029"));
    assertAllows("0.922004", allowance(pattern, "10", c, a, none));
    assertAllows("0.921573", allowance(pattern, "10", c));
    BookedReading amperes =
        on("turns-ratio/HV-LV/C/3", value("excitation-current", "0.00435", Unit.AMPERE));
    assertAllows("0.921573", allowance(pattern, "10", amperes));
  }

  private static Value milliamperes(String number) {
    return Samples.value(Quantity.EXCITATION_CURRENT, number, Unit.MILLIAMPERE);
  }

  private static Value ohms(String number) {
    return Samples.value(Quantity.WINDING_RESISTANCE, number, Unit.OHM);
  }

  private BookedReading resistance(String step) {
    return on("winding-resistance/" + step, Samples.resistanceValues("0.002900", "20.5"));
  }

  @Test
  @DisplayName("A resistance: its accuracy, and the temperature's by the winding's conductor")
  void resistanceDeviation() {
    Criterion criterion = criterion(Kind.RESISTANCE_DEVIATION, "2", Map.of());
    assertAllows("0.760231", allowance(criterion, "2", resistance("LV/A")));
    assertAllows("0.749052", allowance(criterion, "2", resistance("HV/A/3")));
    assertAllows(
        "0.589247",
        allowance(
            criterion,
            "2",
            on("winding-resistance/LV/A", Samples.resistanceValues("0.002900", "999"))));
  }

  @ParameterizedTest
  @DisplayName("An unbalance by its definition, of phases twice that of lines")
  @CsvSource({
    "range-of-mean, as-read, 1.075129",
    "range-of-lowest, as-read, 1.075129",
    "farthest-from-mean, as-read, 0.620726",
    "range-of-mean, phases, 2.150258",
    "farthest-from-mean, phases, 1.241452"
  })
  void unbalance(String definition, String of, String expanded) {
    Criterion criterion =
        criterion(Kind.RESISTANCE_UNBALANCE, "2", Map.of("definition", definition, "of", of));
    BookedReading lv = resistance("LV/A");
    assertAllows(expanded, allowance(criterion, "2", lv, lv, lv));
  }

  @Test
  @DisplayName("A settling: neither gain nor offset, which are the same all through a run")
  void settling() {
    Criterion criterion = criterion(Kind.RESISTANCE_SETTLING, "0.5", Map.of());
    BookedReading unsettled =
        booked(
            step(plate, "winding-resistance/LV/A"),
            1,
            Reading.Status.NOT_SETTLED,
            Samples.resistanceValues("0.002900", "20.5"));
    assertAllows("0.028155", allowance(criterion, "0.5", unsettled));
  }

  @Test
  @DisplayName("Figures in their own unit have what a relative uncertainty is worth at the limit")
  void atTheLimit() {
    assertAllows(
        "0.087034",
        allowance(
            criterion(Kind.TEST_CURRENT, "15", Map.of()),
            "15",
            on("winding-resistance/LV/A", value("test-current", "10.00", Unit.AMPERE))));
    BookedReading insulation =
        on(
            "winding-resistance/LV/A",
            value("insulation-resistance", "6200", MEGOHM),
            value("winding-temperature", "20.5", Unit.CELSIUS));
    assertAllows(
        "537.824697",
        allowance(criterion(Kind.INSULATION_RESISTANCE, "5000", Map.of()), "5000", insulation));
    for (Kind kind : List.of(Kind.POLARISATION_INDEX, Kind.ABSORPTION_RATIO)) {
      assertAllows("0.163300", allowance(criterion(kind, "2.0", Map.of()), "2.0", insulation));
    }
    assertAllows(
        "0.899563",
        allowance(
            criterion(Kind.SHORT_CIRCUIT_IMPEDANCE, "10", Map.of()),
            "10",
            on(
                "turns-ratio/HV-LV/A/3",
                value("short-circuit-voltage", "445.0", Unit.VOLT),
                value("short-circuit-current", "13.12", Unit.AMPERE))));
  }

  @ParameterizedTest
  @EnumSource
  @DisplayName("A criterion with neither uncertainty nor accuracy is refused, whatever its kind")
  void neither(Kind kind) {
    Criterion criterion = criterion(kind, "1", Map.of());
    IllegalArgumentException refused =
        assertThrows(IllegalArgumentException.class, () -> table(Map.of(), Map.of(), criterion));
    String sentence = String.valueOf(refused.getMessage());
    assertTrue(sentence.contains("criterion " + kind.word() + " states no uncertainty"), sentence);
    for (Quantity quantity : InstrumentBudget.quantities(kind)) {
      assertTrue(sentence.contains(quantity.name()), sentence);
      assertTrue(CriteriaTable.quantities().contains(quantity.name()));
      assertEquals(
          List.of(quantity.name()),
          CriteriaTable.missing(
              criterion,
              InstrumentBudget.quantities(kind).stream()
                  .filter(other -> !other.equals(quantity))
                  .collect(Collectors.toMap(Quantity::name, q -> percent("1")))));
    }
    assertEquals(1, table(ACCURACIES, Map.of(), criterion).criteria().size());
    assertEquals(ACCURACIES.keySet(), CriteriaTable.quantities());
  }

  @Test
  @DisplayName("A stated uncertainty holds as it is, with k = 2")
  void stated() {
    Criterion criterion = Samples.criterion(Kind.RATIO_DEVIATION, "0.10", Map.of("limit", "0.5"));
    Allowance allowance = allowance(criterion, "0.5", ratio("A", 3, "44.0240"));
    assertEquals(n("0.10"), allowance.expanded());
    assertEquals(n("2"), allowance.coverage());
  }

  @ParameterizedTest
  @EnumSource
  @DisplayName("Odd readings throw nothing, whatever is judged")
  void odd(Kind kind) {
    Criterion criterion = criterion(kind, "1", Map.of());
    for (String number : List.of("0", "-1", "1e-70", "1e70", "9".repeat(65), "1e2000000000")) {
      List<Value> values = new ArrayList<>();
      for (Quantity quantity : InstrumentBudget.quantities(kind)) {
        values.add(Samples.value(quantity, number, unit(quantity)));
      }
      BookedReading odd = on("winding-resistance/LV/A", values.toArray(new Value[0]));
      Allowance allowance = allowance(criterion, "1", odd);
      assertTrue(allowance.expanded().signum() >= 0, number);
    }
    Value other = Samples.value(InstrumentBudget.quantities(kind).get(0), "1", new Unit("moon"));
    assertEquals(
        new Allowance(BigDecimal.ZERO, BigDecimal.valueOf(2)),
        allowance(criterion, "1", on("winding-resistance/LV/A", other)));
    assertEquals(
        new Allowance(BigDecimal.ZERO, BigDecimal.valueOf(2)),
        allowance(
            criterion,
            "1",
            on(
                "winding-resistance/LV/A",
                new Value.Missing(
                    InstrumentBudget.quantities(kind).get(0), Unit.ONE, Value.Reason.OPEN))));
  }

  private static Unit unit(Quantity quantity) {
    return switch (quantity.name()) {
      case "turns-ratio" -> Unit.ONE;
      case "phase-displacement" -> Unit.DEGREE;
      case "excitation-current" -> Unit.MILLIAMPERE;
      case "test-current", "short-circuit-current" -> Unit.AMPERE;
      case "winding-resistance" -> Unit.OHM;
      case "winding-temperature" -> Unit.CELSIUS;
      case "insulation-resistance" -> MEGOHM;
      default -> Unit.VOLT;
    };
  }

  @Test
  @DisplayName("Two ratios that scale together have the same uncertainty; a finer digit has less")
  void properties() {
    Random random = new Random(Samples.seed());
    Criterion criterion = criterion(Kind.RATIO_SPREAD, "0.3", Map.of());
    for (int i = 0; i < Rounds.of(200); i++) {
      BigDecimal a = BigDecimal.valueOf(430_000 + random.nextInt(20_000), 4);
      BigDecimal b = BigDecimal.valueOf(430_000 + random.nextInt(20_000), 4);
      Allowance one = allowance(criterion, "0.3", ratio("A", 3, a + ""), ratio("B", 3, b + ""));
      Allowance swapped = allowance(criterion, "0.3", ratio("A", 3, b + ""), ratio("B", 3, a + ""));
      assertEquals(one, swapped);
      Allowance finer =
          allowance(criterion, "0.3", ratio("A", 3, a + "00"), ratio("B", 3, b + "00"));
      assertTrue(finer.expanded().compareTo(one.expanded()) <= 0);
      assertEquals(6, one.expanded().scale());
    }
  }

  @Test
  @DisplayName("A repeatability needs two readings and no negative scatter")
  void scatter() {
    assertEquals(2, new Repeatability(BigDecimal.ZERO, 2).readings());
    assertThrows(IllegalArgumentException.class, () -> new Repeatability(n("0.1"), 1));
    assertThrows(IllegalArgumentException.class, () -> new Repeatability(n("-0.1"), 5));
  }
}
