package org.tallywire.bridge;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;
import java.util.ArrayList;
import java.util.Collections;
import java.util.Comparator;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.TreeMap;
import java.util.stream.Collectors;
import org.tallywire.acceptance.Criterion.Kind;
import org.tallywire.acceptance.Finding;
import org.tallywire.acceptance.Step;
import org.tallywire.acceptance.Verdict;
import org.tallywire.acceptance.uncertainty.Bound;
import org.tallywire.api.Quantity;
import org.tallywire.api.RecordedReading;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;
import org.tallywire.testset.TestSet;

/**
 * A test set as text: every reading with expected value, deviation and verdict, then the other
 * criteria in a line each, then in full what did not pass.
 */
final class SummaryTable {

  private static final Set<String> IN_ROWS =
      Set.of(Kind.RATIO_DEVIATION.word(), Kind.RESISTANCE_DEVIATION.word());

  private static final MathContext SHOWN = new MathContext(6);
  private static final BigDecimal LEAST_IN_OHMS = new BigDecimal("0.1");

  private final TestSet testSet;
  private final StringBuilder out = new StringBuilder();
  private final String format;

  private SummaryTable(TestSet testSet) {
    this.testSet = testSet;
    int widest =
        testSet.opened().plan().steps().stream()
            .mapToInt(step -> inWords(step).length())
            .max()
            .orElse(0);
    this.format = "%%-%ds %%14s %%14s %%11s %%9s  %%s%%n".formatted(Math.max(34, widest));
  }

  static String of(TestSet testSet) {
    SummaryTable table = new SummaryTable(testSet);
    table.ratios();
    table.resistances();
    table.others();
    table.failures();
    return table.out.toString();
  }

  private void ratios() {
    if (steps(Step.TURNS_RATIO).isEmpty()) {
      return;
    }
    out.append("Turns ratio\n");
    out.append(row("", "measured", "expected", "deviation", "limit", "verdict"));
    for (Step step : steps(Step.TURNS_RATIO)) {
      row(step, "ratio-deviation", text(step, Quantity.TURNS_RATIO), also(step));
    }
    out.append('\n');
  }

  private void resistances() {
    if (steps(Step.WINDING_RESISTANCE).isEmpty()) {
      return;
    }
    out.append("Winding resistance, corrected to ")
        .append(testSet.opened().nameplate().referenceTemperature())
        .append(" °C\n");
    out.append(row("", "corrected", "expected", "deviation", "limit", "verdict"));
    for (Step step : steps(Step.WINDING_RESISTANCE)) {
      row(
          step,
          "resistance-deviation",
          text(step, Quantity.WINDING_RESISTANCE),
          "  as read "
              + text(step, Quantity.WINDING_RESISTANCE)
              + " at "
              + text(step, Quantity.WINDING_TEMPERATURE));
    }
    out.append('\n');
  }

  private String row(Object... columns) {
    return String.format(Locale.ROOT, format, columns);
  }

  private void row(Step step, String criterion, String asRead, String also) {
    Optional<Verdict> verdict = testSet.verdict(step.id(), criterion);
    out.append(
        row(
            inWords(step),
            verdict.flatMap(Verdict::measured).map(m -> shown(m, step)).orElse(asRead),
            step.expected().map(e -> shown(e, step)).orElse("none"),
            verdict.flatMap(Verdict::deviation).map(d -> signed(d, 3) + " %").orElse("-"),
            verdict.map(v -> "±" + v.limit() + " %").orElse("-"),
            worst(step) + also));
  }

  private String also(Step step) {
    return "  %s, %s, %s"
        .formatted(
            text(step, Quantity.EXCITATION_CURRENT),
            text(step, Quantity.PHASE_DISPLACEMENT),
            text(step, Quantity.TEST_VOLTAGE));
  }

  /** What no row above shows: a line for each criterion and pair of windings, with its worst. */
  private void others() {
    Map<String, List<Verdict>> groups = new LinkedHashMap<>();
    testSet.verdicts().stream()
        .filter(verdict -> !IN_ROWS.contains(verdict.criterion()))
        .sorted(Comparator.comparing(SummaryTable::order))
        .forEach(
            verdict ->
                groups
                    .computeIfAbsent(
                        verdict.criterion() + " " + windings(verdict), group -> new ArrayList<>())
                    .add(verdict));
    if (groups.isEmpty()) {
      return;
    }
    out.append("Other criteria\n");
    out.append(row("", "", "", "worst", "limit", "verdicts"));
    groups.forEach(this::line);
    out.append('\n');
  }

  private void line(String group, List<Verdict> verdicts) {
    Verdict worst = Collections.max(verdicts, SummaryTable::byBadness);
    String unit = Telling.inWords(worst.deviationUnit());
    String counts =
        verdicts.stream()
            .collect(Collectors.groupingBy(Verdict::state, TreeMap::new, Collectors.counting()))
            .descendingMap()
            .entrySet()
            .stream()
            .map(count -> count.getValue() + " " + count.getKey().word())
            .collect(Collectors.joining(", "));
    out.append(
        row(
            group,
            "",
            "",
            worst.deviation().map(d -> shown(d.abs(), 3) + unit).orElse("-"),
            bound(worst) + worst.limit().toPlainString() + unit,
            counts + (verdicts.size() > 1 ? "; worst: " + Telling.place(worst.subject()) : "")));
  }

  private static int order(Verdict verdict) {
    return Kind.of(verdict.criterion()).map(Kind::ordinal).orElse(Integer.MAX_VALUE);
  }

  private static String windings(Verdict verdict) {
    return verdict.subject().split("/", -1)[1];
  }

  /** Compares by state, then by how near the figure is to the bad side. */
  private static int byBadness(Verdict one, Verdict other) {
    int byState = one.state().compareTo(other.state());
    return byState != 0 ? byState : badness(one).compareTo(badness(other));
  }

  private static BigDecimal badness(Verdict verdict) {
    BigDecimal figure = verdict.deviation().orElse(BigDecimal.ZERO).abs();
    return verdict.bound() == Bound.AT_LEAST ? figure.negate() : figure;
  }

  private static String bound(Verdict verdict) {
    return switch (verdict.bound()) {
      case WITHIN -> "";
      case AT_LEAST -> "≥ ";
      case AT_MOST -> "≤ ";
    };
  }

  private void failures() {
    List<Verdict> failures = testSet.verdicts().stream().filter(v -> !v.state().passed()).toList();
    if (failures.isEmpty()) {
      out.append("Every verdict is a pass.\n");
      return;
    }
    out.append("Not passed\n");
    for (Verdict verdict : failures) {
      out.append("  ").append(verdict.sentence()).append('\n');
      for (Finding finding : verdict.findings()) {
        out.append("    ").append(Telling.inWords(finding)).append('\n');
      }
      out.append("    Next: ").append(verdict.next()).append('\n');
      out.append(
          "    Limit from: %s (%s)%n"
              .formatted(verdict.rule().source(), verdict.rule().certainty().word()));
    }
  }

  private List<Step> steps(String... tests) {
    return testSet.opened().plan().steps().stream()
        .filter(step -> List.of(tests).contains(step.test()))
        .toList();
  }

  /** Returns the worst state among the verdicts of one step, as a word. */
  private String worst(Step step) {
    List<Verdict> own = new ArrayList<>();
    for (Verdict verdict : testSet.verdicts()) {
      if (verdict.subject().equals(step.id())) {
        own.add(verdict);
      }
    }
    return own.stream()
        .map(Verdict::state)
        .max(Comparator.naturalOrder())
        .map(Verdict.State::word)
        .orElse("no verdict");
  }

  private String text(Step step, Quantity quantity) {
    Optional<Value> value =
        testSet.reading(step.id()).map(RecordedReading::reading).flatMap(r -> r.value(quantity));
    if (value.isEmpty()) {
      return "-";
    }
    return Telling.inWords(value.get());
  }

  private static String inWords(Step step) {
    return "%s (%s)".formatted(step.inWords(), step.terminals());
  }

  /** Returns a figure of a step with its unit, resistances below 0.1 Ω in milliohms. */
  private static String shown(BigDecimal number, Step step) {
    if (!step.unit().equals(Unit.OHM)) {
      return number.round(SHOWN).toPlainString();
    }
    return number.compareTo(LEAST_IN_OHMS) < 0
        ? number.movePointRight(3).round(SHOWN).toPlainString() + " mΩ"
        : number.round(SHOWN).toPlainString() + " Ω";
  }

  private static String shown(BigDecimal number, int decimals) {
    return number.setScale(decimals, RoundingMode.HALF_EVEN).toPlainString();
  }

  private static String signed(BigDecimal number, int decimals) {
    return (number.signum() >= 0 ? "+" : "") + shown(number, decimals);
  }
}
