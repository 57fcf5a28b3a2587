package org.tallywire.bridge;

import java.math.BigDecimal;
import java.math.MathContext;
import java.math.RoundingMode;
import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import java.util.Optional;
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

  private void comparisons() {
    out.append("Comparisons of the three phases\n");
    out.append(ROW.formatted("", "", "", "difference", "limit", "verdict"));
    for (Verdict verdict : testSet.verdicts()) {
      if (testSet.opened().plan().step(verdict.subject()).isEmpty()) {
        out.append(
            ROW.formatted(
                verdict.criterion() + " " + place(verdict.subject()),
                "",
                "",
                verdict.deviation().map(d -> shown(d, 3) + " %").orElse("-"),
                verdict.limit() + " %",
                verdict.state().word()));
      }
    }
    out.append('\n');
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
        out.append("    ").append(finding.sentence()).append('\n');
      }
      out.append(
          "    Limit from: %s (%s)%n"
              .formatted(verdict.rule().source(), verdict.rule().certainty().word()));
    }
  }

  private List<Step> steps(String test) {
    return testSet.opened().plan().steps().stream().filter(s -> s.test().equals(test)).toList();
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
