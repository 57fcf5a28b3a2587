package org.tallywire.simulator.scenario;

import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.TreeSet;
import java.util.function.Function;
import org.jspecify.annotations.Nullable;
import org.tallywire.simulator.scenario.Problems.Place;
import org.yaml.snakeyaml.nodes.MappingNode;
import org.yaml.snakeyaml.nodes.Node;
import org.yaml.snakeyaml.nodes.NodeTuple;
import org.yaml.snakeyaml.nodes.ScalarNode;
import org.yaml.snakeyaml.nodes.SequenceNode;

/**
 * The keys of one mapping and their values. What is missing or wrong becomes a problem and a
 * stand-in is returned, so that reading goes on and finds the rest.
 */
final class Section {

  private final String path;
  private final Place start;
  private final Problems problems;
  private final Map<String, Node> values = new LinkedHashMap<>();
  private final Map<String, Place> keys = new LinkedHashMap<>();

  /**
   * The section that a mapping is.
   *
   * @param path the keys that lead to it, empty at the top
   * @param known every key that may stand in it
   */
  static Section of(String path, MappingNode node, Set<String> known, Problems problems) {
    Section section = new Section(path, Place.of(node), problems);
    for (NodeTuple tuple : node.getValue()) {
      section.take(tuple.getKeyNode(), tuple.getValueNode(), known);
    }
    return section;
  }

  /** A section in which nothing is written. */
  static Section empty(String path, Place start, Problems problems) {
    return new Section(path, start, problems);
  }

  private Section(String path, Place start, Problems problems) {
    this.path = path;
    this.start = start;
    this.problems = problems;
  }

  private void take(Node key, Node value, Set<String> known) {
    if (!(key instanceof ScalarNode scalar)) {
      problems.add(Place.of(key), in("this is no key; write a word and a colon"));
      return;
    }
    String word = scalar.getValue();
    if (!known.contains(word)) {
      problems.add(Place.of(key), in(unknown(word, known)));
    } else if (values.containsKey(word)) {
      problems.add(Place.of(key), in("\"%s\" stands here twice; keep one".formatted(word)));
    } else {
      values.put(word, value);
      keys.put(word, Place.of(key));
    }
  }

  private static String unknown(String word, Set<String> known) {
    String quoted = Written.quoted(word);
    if (word.matches("[0-9].*")) {
      return quoted
          + " stands after a comma; write a point before decimals, and a space or nothing between"
          + " thousands";
    }
    if (Wording.spaceIsMissing(word)) {
      return quoted + " is no key here; " + Wording.SPACE_AFTER_COLON;
    }
    if (FaultReader.TIMES.contains(word)) {
      return quoted
          + " says when a fault is there; write it after the fault, for example freeze for 5 s";
    }
    String rest =
        known.isEmpty()
            ? "nothing is to be said here"
            : "the keys here are " + String.join(", ", new TreeSet<>(known));
    return "%s is no key here;%s %s"
        .formatted(quoted, Wording.suggestion(word, new TreeSet<>(known)), rest);
  }

  private String in(String words) {
    return path.isEmpty() ? words : path + ": " + words;
  }

  private String pathOf(String key) {
    return path.isEmpty() ? key : path + ", " + key;
  }

  /** Returns how many problems have been told so far. */
  int problems() {
    return problems.count();
  }

  private Place place(String key) {
    return keys.getOrDefault(key, start);
  }

  /** Tells whether a key is written. */
  boolean has(String key) {
    return values.containsKey(key);
  }

  /** Tells a problem with a key, or with the section if the key is not written. */
  void problem(String key, String words) {
    problems.add(place(key), in(words));
  }

  /** Returns the single value of a key, if it is written; a problem if it holds something else. */
  Optional<Written> written(String key) {
    Node node = values.get(key);
    if (node instanceof ScalarNode scalar && !scalar.getValue().isBlank()) {
      return Optional.of(
          new Written(scalar.getValue().strip(), Place.of(node), pathOf(key), problems));
    }
    if (node != null) {
      String found = node instanceof ScalarNode ? "has no value" : "is to have one value";
      problems.add(place(key), "%s: %s".formatted(pathOf(key), found));
    }
    return Optional.empty();
  }

  /** Returns the single value of a key that must be written; tells a problem if it is not. */
  Optional<Written> required(String key, String example) {
    if (!has(key)) {
      problem(key, "\"%s\" is missing; write for example %s: %s".formatted(key, key, example));
    }
    return written(key);
  }

  /** Returns an amount that must be written; the least one as a stand-in. */
  double amount(String key, Range range) {
    return amount(required(key, range.example()), range, range.from().doubleValue());
  }

  /** Returns an amount, or that one if it is not written. */
  double amount(String key, Range range, double otherwise) {
    return amount(written(key), range, otherwise);
  }

  private static double amount(Optional<Written> written, Range range, double otherwise) {
    return written.flatMap(range::read).map(amount -> amount.doubleValue()).orElse(otherwise);
  }

  /** Returns what a word stands for that must be written. */
  <T> T oneOf(String key, Map<String, T> words, String what, T standIn) {
    String example = words.keySet().iterator().next();
    return required(key, example).flatMap(w -> w.oneOf(words, what)).orElse(standIn);
  }

  /** Returns the mapping under a key, if it is written. */
  Optional<Section> section(String key, Set<String> known) {
    @Nullable Node node = values.get(key);
    if (node instanceof MappingNode mapping) {
      return Optional.of(of(pathOf(key), mapping, known, problems));
    }
    if (node instanceof ScalarNode scalar && Wording.spaceIsMissing(scalar.getValue())) {
      problems.add(
          Place.of(node),
          "%s: %s: %s"
              .formatted(
                  pathOf(key), Written.quoted(scalar.getValue()), Wording.SPACE_AFTER_COLON));
    } else if (node != null) {
      problems.add(
          place(key),
          "%s: is to hold keys with values: %s"
              .formatted(pathOf(key), String.join(", ", new TreeSet<>(known))));
    }
    return Optional.empty();
  }

  /** Returns the mapping under a key, an empty one if it is not written. */
  Section sectionOrEmpty(String key, Set<String> known) {
    return section(key, known).orElseGet(() -> empty(pathOf(key), place(key), problems));
  }

  /** Returns the items of the list under a key, each turned into something; none if not written. */
  <T> List<T> items(String key, Function<Node, Optional<T>> reading) {
    @Nullable Node node = values.get(key);
    if (node instanceof SequenceNode sequence) {
      return sequence.getValue().stream().map(reading).flatMap(Optional::stream).toList();
    }
    if (node != null) {
      problems.add(
          place(key), "%s: is to be a list, each item after \"- \"".formatted(pathOf(key)));
    }
    return List.of();
  }
}
