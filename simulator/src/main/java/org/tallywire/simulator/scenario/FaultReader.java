package org.tallywire.simulator.scenario;

import java.time.Duration;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Optional;
import java.util.Set;
import org.tallywire.simulator.scenario.Problems.Place;
import org.yaml.snakeyaml.nodes.MappingNode;
import org.yaml.snakeyaml.nodes.Node;
import org.yaml.snakeyaml.nodes.NodeTuple;
import org.yaml.snakeyaml.nodes.ScalarNode;

/**
 * Reads faults with their times from what somebody wrote: {@code bad joint: {winding: LV, …}}, or
 * {@code bad joint: drawn} for a place and a size by the seed, or the word alone where nothing is
 * to be said; beside it {@code from} and {@code until} or {@code for}.
 */
final class FaultReader {

  static final String DRAWN = "drawn";

  /** The keys that say when a fault is there. */
  static final Set<String> TIMES = Set.of("from", "until", "for");

  private static final Range MOMENT = Range.of(Measure.TIME, "0", "3600000", "20 s");
  private static final Range LENGTH = Range.of(Measure.TIME, "0.001", "3600000", "5 s");

  private final Optional<Scenario> scenario;
  private final Duration now;
  private final Problems problems;

  /**
   * A reader of faults.
   *
   * @param scenario whose unit has them; nothing if something else is wrong with it, so that only
   *     the faults themselves are checked
   * @param now bench time from which times count
   */
  FaultReader(Optional<Scenario> scenario, Duration now, Problems problems) {
    this.scenario = scenario;
    this.now = now;
    this.problems = problems;
  }

  /** Returns the fault that an item says; tells problems and returns nothing if it says none. */
  Optional<Planted> read(Node item) {
    return item instanceof ScalarNode word
        ? read(word, Clauses.of(word.getValue().strip(), Place.of(item), problems))
        : read(item, Section.empty("", Place.of(item), problems));
  }

  private Optional<Planted> read(ScalarNode word, Clauses line) {
    ScalarNode head =
        new ScalarNode(
            word.getTag(),
            line.head(),
            word.getStartMark(),
            word.getEndMark(),
            word.getScalarStyle());
    return read(head, line.times());
  }

  /** Returns the fault that an item says, with times that are written elsewhere. */
  Optional<Planted> read(Node item, Section otherTimes) {
    int before = problems.count();
    Optional<Fault> fault = Optional.empty();
    Section times = otherTimes;
    if (item instanceof ScalarNode word && !word.getValue().isBlank()) {
      fault = fault(word.getValue().strip(), Place.of(item), Optional.empty());
    } else if (item instanceof MappingNode mapping) {
      List<NodeTuple> named = mapping.getValue().stream().filter(t -> !isTime(t)).toList();
      fault = oneFault(named, Place.of(item));
      if (named.size() < mapping.getValue().size()) {
        times = timesBeside(mapping, otherTimes);
      }
    } else {
      problems.add(
          Place.of(item), "faults: is no fault; write for example - bad joint: {winding: LV, …}");
    }
    Section when = times;
    return fault.flatMap(f -> planted(f, when)).filter(planted -> problems.count() == before);
  }

  private static boolean isTime(NodeTuple tuple) {
    return tuple.getKeyNode() instanceof ScalarNode key && TIMES.contains(key.getValue());
  }

  private Section timesBeside(MappingNode mapping, Section otherTimes) {
    TIMES.stream()
        .sorted()
        .filter(otherTimes::has)
        .findFirst()
        .ifPresent(key -> otherTimes.problem(key, "times stand inside {} and after it; keep one"));
    List<NodeTuple> tuples = mapping.getValue().stream().filter(FaultReader::isTime).toList();
    MappingNode only =
        new MappingNode(
            mapping.getTag(),
            false,
            tuples,
            mapping.getStartMark(),
            mapping.getEndMark(),
            mapping.getFlowStyle());
    return Section.of("", only, TIMES, problems);
  }

  private Optional<Fault> oneFault(List<NodeTuple> named, Place place) {
    if (named.isEmpty()) {
      problems.add(place, "faults: this names no fault, only times");
      return Optional.empty();
    }
    Optional<Fault> fault = Optional.empty();
    String first = "";
    for (NodeTuple tuple : named) {
      Node key = tuple.getKeyNode();
      String word = key instanceof ScalarNode scalar ? scalar.getValue() : "";
      if (first.isEmpty()) {
        first = word;
        fault = badlyIndented(word, named) ? Optional.empty() : fault(tuple, word);
      } else if (FaultForm.BY_WORD.containsKey(word)) {
        problems.add(
            Place.of(key), "%s: is a second fault here; begin it with \"- \"".formatted(word));
      } else {
        problems.add(
            Place.of(key),
            "%s: does not belong here; what is said of \"%s\" is to be indented more or in {}"
                .formatted(word, first));
      }
    }
    return fault;
  }

  private static boolean badlyIndented(String word, List<NodeTuple> named) {
    FaultForm<?> form = FaultForm.BY_WORD.get(word);
    return form != null
        && named.stream()
            .anyMatch(
                t ->
                    t.getKeyNode() instanceof ScalarNode key
                        && form.keys().contains(key.getValue()));
  }

  private Optional<Fault> fault(NodeTuple tuple, String word) {
    return fault(word, Place.of(tuple.getKeyNode()), Optional.of(tuple.getValueNode()));
  }

  private Optional<Fault> fault(String word, Place place, Optional<Node> value) {
    FaultForm<?> form = FaultForm.BY_WORD.get(word);
    if (form == null) {
      problems.add(
          place, "faults: %s is no fault;%s".formatted(Written.quoted(word), whatToWrite(word)));
      return Optional.empty();
    }
    if (value.orElse(null) instanceof ScalarNode scalar && !isNothing(scalar)) {
      return single(form, scalar);
    }
    Section section =
        value.orElse(null) instanceof MappingNode mapping
            ? Section.of(word, mapping, form.keys(), problems)
            : Section.empty(word, place, problems);
    if (value.filter(v -> !(v instanceof MappingNode || v instanceof ScalarNode)).isPresent()) {
      problems.add(place, "%s: is to hold keys with values, not a list".formatted(word));
      return Optional.empty();
    }
    int before = problems.count();
    Fault fault = form.reading().apply(new FaultEntry(section, scenario.map(Scenario::plate)));
    return problems.count() == before ? Optional.of(fault) : Optional.empty();
  }

  private static String whatToWrite(String word) {
    if (Wording.spaceIsMissing(word)) {
      return " " + Wording.SPACE_AFTER_COLON;
    }
    String suggestion = Wording.suggestion(word, FaultForm.BY_WORD.keySet());
    return suggestion.isEmpty()
        ? " the faults are " + String.join(", ", FaultForm.BY_WORD.keySet())
        : suggestion;
  }

  private static boolean isNothing(ScalarNode scalar) {
    return scalar.getValue().isBlank() || scalar.getValue().equals("null");
  }

  private Optional<Fault> single(FaultForm<?> form, ScalarNode scalar) {
    if (!scalar.getValue().equals(DRAWN)) {
      problems.add(Place.of(scalar), "%s: %s".formatted(form.word(), howToWrite(form, scalar)));
      return Optional.empty();
    }
    try {
      return scenario.isEmpty()
          ? Optional.empty()
          : DrawnFault.draw(Fault.dashed(form.word()), scenario.get());
    } catch (ScenarioException impossible) {
      problems.add(Place.of(scalar), "%s: %s".formatted(form.word(), impossible.getMessage()));
      return Optional.empty();
    }
  }

  private static String howToWrite(FaultForm<?> form, ScalarNode scalar) {
    String found = Written.quoted(scalar.getValue());
    return form.keys().isEmpty()
        ? found + " is not needed; nothing is to be said here"
        : "%s is not enough; write {%s: …} or drawn"
            .formatted(found, String.join(": …, ", new LinkedHashSet<>(form.keys())));
  }

  private Optional<Planted> planted(Fault fault, Section times) {
    if (fault instanceof LineFault.Reboot && (times.has("until") || times.has("for"))) {
      times.problem(
          times.has("until") ? "until" : "for",
          "how long a reboot takes is said inside; write reboot: {lasts: 5 s}");
      return Optional.empty();
    }
    int before = problems.count();
    Duration from = now.plus(FaultEntry.duration(times.amount("from", MOMENT, 0)));
    Optional<Duration> until = until(times, from, before);
    if (problems.count() > before) {
      return Optional.empty();
    }
    return Optional.of(
        until.isPresent() ? new Planted(fault, from, until) : Planted.usual(fault, from));
  }

  /** Returns when it ends; the two times are compared if no problem was told since then. */
  private Optional<Duration> until(Section times, Duration from, int before) {
    if (times.has("until") && times.has("for")) {
      times.problem("for", "write either until or for, not both");
      return Optional.empty();
    }
    if (times.has("for")) {
      return Optional.of(from.plus(FaultEntry.duration(times.amount("for", LENGTH))));
    }
    if (times.has("until")) {
      Duration until = now.plus(FaultEntry.duration(times.amount("until", LENGTH)));
      if (problems.count() == before && until.compareTo(from) <= 0) {
        times.problem(
            "until",
            "until is not after from; write a time after %s, or for with how long it lasts"
                .formatted(Measure.write(from.minus(now))));
      }
      return Optional.of(until);
    }
    return Optional.empty();
  }
}
