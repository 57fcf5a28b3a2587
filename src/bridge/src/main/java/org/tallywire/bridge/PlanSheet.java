package org.tallywire.bridge;

import java.math.BigDecimal;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.stream.Collectors;
import org.tallywire.acceptance.Caution;
import org.tallywire.acceptance.CriteriaTable;
import org.tallywire.acceptance.Doubt;
import org.tallywire.acceptance.Nameplate;
import org.tallywire.acceptance.PlateFacts;
import org.tallywire.acceptance.Plausibility;
import org.tallywire.acceptance.Rule.Certainty;
import org.tallywire.acceptance.Side;
import org.tallywire.acceptance.Step;
import org.tallywire.acceptance.StepLimit;
import org.tallywire.acceptance.TestPlan;
import org.tallywire.acceptance.winding.LeadSketch;
import org.tallywire.acceptance.winding.WindingGroup;

/**
 * What a person reads before a test: the plate, what is doubtful of it, what to mind, the steps
 * with their limits, and the sketches of the leads.
 *
 * @param facts of the plate, each a word and what it says
 * @param parts of the plan, in its order
 * @param sketches by the name of a file without its ending
 */
record PlanSheet(
    Nameplate plate,
    CriteriaTable criteria,
    List<Map.Entry<String, String>> facts,
    List<Doubt> doubts,
    List<Caution> cautions,
    List<Part> parts,
    Map<String, LeadSketch> sketches) {

  /**
   * Steps of one test on the same windings.
   *
   * @param limits that hold for every step of it, with their sources
   * @param notes that go with every step of it
   */
  record Part(String heading, List<String> limits, List<String> notes, List<Row> rows) {}

  /**
   * A step.
   *
   * @param expected what the plate promises and within what, or nothing
   * @param notes that go with this step alone
   */
  record Row(int number, Step step, String expected, List<String> notes) {}

  static PlanSheet of(Nameplate plate, TestPlan plan, CriteriaTable criteria) {
    Map<String, List<Step>> grouped = new LinkedHashMap<>();
    for (Step step : plan.steps()) {
      grouped
          .computeIfAbsent(step.test() + ", " + step.windings(), heading -> new ArrayList<>())
          .add(step);
    }
    List<Part> parts = new ArrayList<>();
    int number = 1;
    for (Map.Entry<String, List<Step>> group : grouped.entrySet()) {
      parts.add(part(group.getKey(), group.getValue(), number, plate, plan, criteria));
      number += group.getValue().size();
    }
    return new PlanSheet(
        plate,
        criteria,
        PlateFacts.of(plate),
        Plausibility.of(plate),
        Caution.of(plan),
        parts,
        sketches(plate, plan));
  }

  private static Part part(
      String heading,
      List<Step> steps,
      int first,
      Nameplate plate,
      TestPlan plan,
      CriteriaTable criteria) {
    List<List<StepLimit>> limits =
        steps.stream().map(step -> StepLimit.of(criteria, plate, plan, step)).toList();
    Set<StepLimit> common = new LinkedHashSet<>(limits.get(0));
    limits.forEach(common::retainAll);
    Set<String> notes = new LinkedHashSet<>(sentences(steps.get(0)));
    steps.forEach(step -> notes.retainAll(sentences(step)));
    List<Row> rows = new ArrayList<>();
    for (int i = 0; i < steps.size(); i++) {
      Step step = steps.get(i);
      rows.add(
          new Row(
              first + i,
              step,
              limits.get(i).stream()
                  .filter(limit -> !common.contains(limit))
                  .map(StepLimit::sentence)
                  .collect(Collectors.joining("; ")),
              sentences(step).stream().filter(note -> !notes.contains(note)).toList()));
    }
    List<String> said = new ArrayList<>(common.stream().map(PlanSheet::sourced).toList());
    limits.get(0).stream()
        .filter(limit -> !common.contains(limit))
        .forEach(limit -> said.add(limit.criterion() + ", by step below" + source(limit)));
    if (said.isEmpty()) {
      said.add("nothing of this is judged by these criteria" + promised(steps.get(0)));
    }
    return new Part(heading, said, List.copyOf(notes), rows);
  }

  private static String promised(Step step) {
    return step.expected()
        .map(value -> "; the plate says %s %s".formatted(bare(value), step.unit().code()))
        .orElse("");
  }

  private static String sourced(StepLimit limit) {
    return limit.criterion() + ": " + limit.sentence() + source(limit);
  }

  private static String source(StepLimit limit) {
    return " (%s)".formatted(cited(limit.rule().source(), limit.rule().certainty()));
  }

  /** Returns where something comes from and how sure that is. */
  static String cited(String source, Certainty certainty) {
    return certainty == Certainty.PRACTICE && source.equals("common practice")
        ? source
        : source + "; " + certainty.word();
  }

  /** Splits a note into its sentences, of which many steps share some. */
  private static List<String> sentences(Step step) {
    return step.note().map(note -> List.of(note.split("(?<=\\.) (?=[A-Z])"))).orElse(List.of());
  }

  private static Map<String, LeadSketch> sketches(Nameplate plate, TestPlan plan) {
    Map<String, LeadSketch> sketches = new LinkedHashMap<>();
    for (Step step : plan.steps()) {
      String name =
          step.test().equals(Step.TURNS_RATIO)
              ? "ratio-" + step.phase()
              : "resistance-" + step.windings() + "-" + step.phase();
      if (!sketches.containsKey(name)) {
        sketch(plate.group(), step).ifPresent(sketch -> sketches.put(name, sketch));
      }
    }
    return sketches;
  }

  /** Returns where the clips go for a step, if that is drawn for its test. */
  static Optional<LeadSketch> sketch(WindingGroup group, Step step) {
    return switch (step.test()) {
      case Step.TURNS_RATIO -> Optional.of(LeadSketch.ofRatio(group, step.phase()));
      case Step.WINDING_RESISTANCE ->
          Optional.of(
              LeadSketch.ofResistance(group, step.windings().equals(Side.HV.name()), step.phase()));
      default -> Optional.empty();
    };
  }

  static String bare(BigDecimal number) {
    return number.signum() == 0 ? "0" : number.stripTrailingZeros().toPlainString();
  }
}
