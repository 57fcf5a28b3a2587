package org.tallywire.report;

import java.math.BigDecimal;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import org.tallywire.acceptance.Step;
import org.tallywire.acceptance.Verdict;
import org.tallywire.acceptance.uncertainty.Bound;
import org.tallywire.api.Quantity;
import org.tallywire.api.Unit;
import org.tallywire.api.Value;

/** Draws what a record holds: deviations against their limits, excitation currents, resistances. */
final class Plots {

  private static final List<String> DEVIATIONS =
      List.of("ratio-deviation", "resistance-deviation", "short-circuit-impedance");

  private final TestRecord record;

  Plots(TestRecord record) {
    this.record = record;
  }

  /** Writes those of a group of steps of one test on the same windings. */
  void write(Markup page, List<TestRecord.StepResult> group) {
    for (String criterion : DEVIATIONS) {
      deviations(page, group, criterion);
    }
    String test = group.get(0).step().test();
    if (test.equals(Step.TURNS_RATIO)) {
      values(page, group, Quantity.EXCITATION_CURRENT, "Excitation current");
    } else if (test.equals(Step.WINDING_RESISTANCE)) {
      values(page, group, Quantity.WINDING_RESISTANCE, "Winding resistance as read");
    } else if (test.equals(Step.INSULATION_RESISTANCE)) {
      values(page, group, Quantity.INSULATION_RESISTANCE, "Insulation resistance as read");
    }
  }

  private static void deviations(Markup page, List<TestRecord.StepResult> group, String criterion) {
    Plot plot = null;
    for (TestRecord.StepResult result : group) {
      for (Verdict verdict : result.verdicts()) {
        if (!verdict.criterion().equals(criterion) || verdict.deviation().isEmpty()) {
          continue;
        }
        if (plot == null) {
          plot =
              new Plot(
                  "%s, %s, by tap and phase; dashed: the limits"
                      .formatted(criterion, result.step().windings()),
                  Words.unit(verdict.deviationUnit()));
        }
        plot.point(
            new Plot.Point(
                place(result.step()),
                result.step().phase(),
                verdict.deviation().get().doubleValue(),
                !verdict.state().passed()));
        plot.limit(verdict.limit().doubleValue());
        if (verdict.bound() == Bound.WITHIN) {
          plot.limit(-verdict.limit().doubleValue());
        }
      }
    }
    if (plot != null) {
      plot.write(page);
    }
  }

  /** Each unit has a plot of its own: what cannot be converted is not drawn together. */
  private void values(
      Markup page, List<TestRecord.StepResult> group, Quantity quantity, String title) {
    Map<Unit, Plot> plots = new LinkedHashMap<>();
    Unit first = null;
    for (TestRecord.StepResult result : group) {
      Optional<Value.Measured> measured =
          result.taken().flatMap(taken -> taken.recorded().reading().measured(quantity));
      if (measured.isEmpty()) {
        continue;
      }
      Unit unit = measured.get().unit();
      if (first == null) {
        first = unit;
      }
      Unit drawn = unit.converts(first) ? first : unit;
      BigDecimal number = measured.get().in(drawn).orElse(measured.get().number());
      plots
          .computeIfAbsent(
              drawn,
              key ->
                  new Plot(
                          "%s, %s, by tap and phase".formatted(title, result.step().windings()),
                          Words.unit(drawn))
                      .fromZero())
          .point(
              new Plot.Point(
                  place(result.step()),
                  result.step().phase(),
                  number.doubleValue(),
                  failed(result.step(), quantity)));
    }
    plots.values().forEach(plot -> plot.write(page));
  }

  /** Tells whether a verdict on the step or on its phases together that is about this failed. */
  private boolean failed(Step step, Quantity quantity) {
    String word = quantity.equals(Quantity.EXCITATION_CURRENT) ? "excitation" : "resistance";
    return record.verdicts().stream()
        .filter(verdict -> verdict.criterion().contains(word) && !verdict.state().passed())
        .anyMatch(verdict -> verdict.subject().equals(step.id()));
  }

  private static String place(Step step) {
    StringBuilder place = new StringBuilder();
    step.tap().ifPresent(tap -> place.append("tap ").append(tap));
    step.onLoadTap().ifPresent(tap -> place.append(" / ").append(tap));
    return place.isEmpty() ? step.windings() : place.toString();
  }
}
