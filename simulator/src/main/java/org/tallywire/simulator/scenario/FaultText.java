package org.tallywire.simulator.scenario;

import java.time.Duration;
import java.util.List;
import java.util.Optional;
import org.tallywire.simulator.scenario.Problems.Place;
import org.yaml.snakeyaml.nodes.Node;

/**
 * One fault in one line, with the words of a scenario file:
 *
 * <pre>
 * bad joint: {winding: LV, phase: C, adds: 8 %}
 * line noise: {share: 10 %} from 20 s until 30 s
 * freeze for 5 s
 * </pre>
 */
public final class FaultText {

  private FaultText() {}

  /**
   * Reads a fault for the unit and seed of a scenario.
   *
   * @param now bench time from which the times in the text count
   * @throws ScenarioException with every problem and its column
   */
  public static Planted read(String text, Scenario scenario, Duration now)
      throws ScenarioException {
    Problems problems = Problems.inLine();
    Place start = new Place(1, 1);
    if (!Clauses.oneLine(text)) {
      problems.add(
          start,
          "write a fault in one line, for example bad joint: {winding: LV, phase: C, adds: 8 %}");
      problems.refuse();
    }
    Clauses line = Clauses.of(text, start, problems);
    Optional<Node> head = PlainYaml.top(line.head(), problems);
    FaultReader reader = new FaultReader(Optional.of(scenario), now, problems);
    Optional<Planted> planted = head.flatMap(item -> reader.read(item, line.times()));
    if (head.isEmpty()) {
      problems.add(start, "names no fault");
    }
    problems.refuse();
    return planted.orElseThrow();
  }

  /** Returns the line that {@link #read} turns into that fault. */
  public static String write(Fault fault) {
    List<String> keys = FaultForm.written(fault);
    return keys.isEmpty()
        ? fault.word()
        : "%s: {%s}".formatted(fault.word(), String.join(", ", keys));
  }

  /** Returns the same for people, with at most five significant digits. */
  public static String inWords(Fault fault) {
    return Measure.rounded(write(fault));
  }

  /** Returns the same for people, with at most five significant digits. */
  public static String inWords(Planted planted) {
    return Measure.rounded(write(planted));
  }

  /** Returns a time for people, for example {@code 4 s}, with at most five significant digits. */
  public static String inWords(Duration time) {
    return Measure.rounded(Measure.write(time));
  }

  /** Returns the line that {@link #read} turns into that, read at the start of bench time. */
  public static String write(Planted planted) {
    return write(planted.fault())
        + (planted.from().isZero() ? "" : " from " + Measure.write(planted.from()))
        + planted.until().map(until -> " until " + Measure.write(until)).orElse("");
  }
}
