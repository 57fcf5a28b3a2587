package org.tallywire.bridge;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import java.util.stream.Collectors;
import org.tallywire.acceptance.Finding;
import org.tallywire.acceptance.Step;
import org.tallywire.acceptance.Verdict;
import org.tallywire.api.Quantity;
import org.tallywire.api.RecordedReading;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/** A test set as text: every reading with expected value, deviation and verdict, then the rest. */
final class SummaryTable {

  private static final String ROW = "%-34s %14s %14s %11s %9s  %s%n";

  private static final MathContext SHOWN = new MathContext(6);
  private static final BigDecimal LEAST_IN_OHMS = new BigDecimal("0.1");

  private final CollectedTestSet testSet;
  private final StringBuilder out = new StringBuilder();

  private SummaryTable(CollectedTestSet testSet) {
    this.testSet = testSet;
  }

  static String of(CollectedTestSet testSet) {
    SummaryTable table = new SummaryTable(testSet);
    table.ratios();
    table.resistances();
    table.comparisons();
    table.failures();
    return table.out.toString();
  }

  private void ratios() {
    out.append("Turns ratio\n");
    out.append(ROW.formatted("", "measured", "expected", "deviation", "limit", "verdict"));
    for (Step step : steps(Step.TURNS_RATIO)) {
      row(step, "ratio-deviation", text(step, Quantity.TURNS_RATIO), also(step));
    }
    out.append('\n');
  }

  private void resistances() {
    out.append("Winding resistance, corrected to ")
        .append(testSet.opened().nameplate().referenceTemperature())
        .append(" °C\n");
    out.append(ROW.formatted("", "corrected", "expected", "deviation", "limit", "verdict"));
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

  private void row(Step step, String criterion, String asRead, String also) {
    Optional<Verdict> verdict = testSet.verdict(step.id(), criterion);
    out.append(
        ROW.formatted(
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

  /** What no row above shows: steps of other tests, and comparisons of steps. */
  private void comparisons() {
    out.append("Comparisons, and other tests\n");
    out.append(ROW.formatted("", "", "", "figure", "limit", "verdict"));
    Set<String> shown =
        steps(Step.TURNS_RATIO, Step.WINDING_RESISTANCE).stream()
            .map(Step::id)
            .collect(Collectors.toSet());
    for (Verdict verdict : testSet.verdicts()) {
      if (!shown.contains(verdict.subject())) {
        String unit = Telling.inWords(verdict.deviationUnit());
        out.append(
            ROW.formatted(
                verdict.criterion() + " " + place(verdict.subject()),
                "",
                "",
                verdict.deviation().map(d -> shown(d, 3) + unit).orElse("-"),
                bound(verdict) + verdict.limit().toPlainString() + unit,
                verdict.state().word()));
      }
    }
    out.append('\n');
  }

  private static String bound(Verdict verdict) {
    return switch (verdict.bound()) {
      case WITHIN -> "±";
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
        testSet.reading(step).map(RecordedReading::reading).flatMap(r -> r.value(quantity));
    if (value.isEmpty()) {
      return "-";
    }
    return Telling.inWords(value.get());
  }

  private static String inWords(Step step) {
    String tap = step.tap().isPresent() ? " tap " + step.tap().getAsInt() : "";
    return "%s %s%s (%s)".formatted(step.windings(), step.phase(), tap, step.terminals());
  }

  private static String place(String subject) {
    String[] parts = subject.split("/", -1);
    return parts.length > 2 ? parts[1] + " tap " + parts[2] : parts[parts.length - 1];
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
