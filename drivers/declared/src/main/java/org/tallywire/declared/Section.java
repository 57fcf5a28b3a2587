package org.tallywire.declared;

import java.time.Duration;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.TreeMap;
import java.util.TreeSet;
import java.util.function.BiFunction;
import java.util.function.Function;
import java.util.regex.Pattern;
import org.yaml.snakeyaml.nodes.MappingNode;
import org.yaml.snakeyaml.nodes.Node;
import org.yaml.snakeyaml.nodes.NodeTuple;
import org.yaml.snakeyaml.nodes.ScalarNode;
import org.yaml.snakeyaml.nodes.SequenceNode;

/**
 * The keys of one mapping of a file. What is missing or wrong is added to the problems and a
 * stand-in is returned, so that reading goes on and finds the rest; call {@link #end} when all
 * known keys have been asked for.
 */
final class Section {

  private static final Pattern WHOLE = Pattern.compile("-?(0|[1-9][0-9]{0,9})");
  private static final int LONGEST_LIST = 500;

  private final String path;
  private final MappingNode node;
  private final Problems problems;
  private final Map<String, Node> values = new LinkedHashMap<>();
  private final TreeSet<String> asked = new TreeSet<>();

  Section(String path, MappingNode node, Problems problems) {
    this.path = path;
    this.node = node;
    this.problems = problems;
    for (NodeTuple tuple : node.getValue()) {
      if (!(tuple.getKeyNode() instanceof ScalarNode key)) {
        problems.add(tuple.getKeyNode(), "a key is one word; write \"key: value\"");
      } else if (values.put(key.getValue(), tuple.getValueNode()) != null) {
        problems.add(key, "\"%s\" stands twice; keep one".formatted(pathOf(key.getValue())));
      }
    }
  }

  List<String> keys() {
    return List.copyOf(values.keySet());
  }

  boolean has(String key) {
    asked.add(key);
    return values.containsKey(key);
  }

  boolean isSection(String key) {
    return has(key) && values.get(key) instanceof MappingNode;
  }

  boolean isList(String key) {
    return has(key) && values.get(key) instanceof SequenceNode;
  }

  void problem(String key, String sentence) {
    problems.add(values.getOrDefault(key, node), "\"%s\" %s".formatted(pathOf(key), sentence));
  }

  /** Returns a text that must be there; {@code example} is what to write. */
  String text(String key, String example) {
    if (!has(key)) {
      problem(key, "is missing; write %s: %s".formatted(key, example));
      return "";
    }
    Optional<String> text = scalar(key, example);
    if (text.isPresent() && text.get().isEmpty()) {
      problem(key, "is an empty text; write %s: %s".formatted(key, example));
    }
    return text.orElse("");
  }

  /** Returns a text that may be there; an empty one counts. */
  Optional<String> optionalText(String key, String example) {
    return has(key) ? scalar(key, example) : Optional.empty();
  }

  private Optional<String> scalar(String key, String example) {
    if (values.get(key) instanceof ScalarNode scalar) {
      if (scalar.isPlain() && scalar.getValue().isEmpty()) {
        problem(key, "has nothing behind it; write %s: %s".formatted(key, example));
        return Optional.empty();
      }
      return Optional.of(scalar.getValue());
    }
    problem(key, "is one text; write %s: %s".formatted(key, example));
    return Optional.empty();
  }

  /** Returns what a text becomes, if it is there; a problem if it cannot be it. */
  <T> Optional<T> converted(
      String key, String inWords, String example, Function<String, Optional<T>> conversion) {
    Optional<String> text = optionalText(key, example);
    Optional<T> value = text.flatMap(conversion);
    if (text.isPresent() && value.isEmpty()) {
      problem(
          key,
          "is \"%s\", which is not %s; write %s: %s"
              .formatted(Bytes.written(text.get()), inWords, key, example));
    }
    return value;
  }

  /** Returns what one of the words stands for, if the key is there. */
  <T> Optional<T> word(String key, Map<String, T> words) {
    Optional<String> text = optionalText(key, words.keySet().iterator().next());
    Optional<T> value = text.map(words::get);
    if (text.isPresent() && value.isEmpty()) {
      String written = Bytes.written(text.get());
      problem(key, "is \"%s\"; %s".formatted(written, Words.choice(text.get(), words.keySet())));
    }
    return value;
  }

  boolean flag(String key, boolean otherwise) {
    return word(key, new TreeMap<>(Map.of("true", true, "false", false))).orElse(otherwise);
  }

  int whole(String key, int from, int to, int otherwise) {
    return optionalWhole(key, from, to, otherwise).orElse(otherwise);
  }

  Optional<Integer> optionalWhole(String key, int from, int to, int example) {
    return converted(
        key,
        "a whole number from %d to %d".formatted(from, to),
        Integer.toString(example),
        text ->
            WHOLE.matcher(text).matches()
                ? Optional.of(Long.parseLong(text))
                    .filter(n -> n >= from && n <= to)
                    .map(Long::intValue)
                : Optional.empty());
  }

  Duration duration(String key, Duration from, Duration to, Duration otherwise) {
    return optionalDuration(key, from, to, otherwise).orElse(otherwise);
  }

  Optional<Duration> optionalDuration(String key, Duration from, Duration to, Duration example) {
    return converted(
        key,
        "a time from %s to %s".formatted(Words.written(from), Words.written(to)),
        Words.written(example),
        text -> Words.duration(text).filter(d -> d.compareTo(from) >= 0 && d.compareTo(to) <= 0));
  }

  /** Returns bytes for a line, written as text with escapes. */
  Optional<byte[]> bytes(String key, String example) {
    return converted(
        key,
        "a text whose characters are single bytes, with \\r \\n \\t \\\\ and \\x00 to \\xFF",
        example,
        Bytes::read);
  }

  /** Returns the mapping under a key, if it is there. */
  Optional<Section> section(String key) {
    if (!has(key)) {
      return Optional.empty();
    }
    if (values.get(key) instanceof MappingNode mapping) {
      return Optional.of(new Section(pathOf(key), mapping, problems));
    }
    problem(key, "holds \"key: value\" lines below it; write them indented by two blanks");
    return Optional.empty();
  }

  /** Returns the mappings of the list under a key; none if it is not there. */
  List<Section> list(String key) {
    return items(
        key,
        (place, item) -> {
          if (item instanceof MappingNode mapping) {
            return Optional.of(new Section(place, mapping, problems));
          }
          problems.add(
              item, "\"%s\" holds \"key: value\" lines; write - key: value".formatted(place));
          return Optional.empty();
        });
  }

  /** Returns the texts of the list under a key, or of the single one there. */
  List<String> texts(String key) {
    if (has(key) && values.get(key) instanceof ScalarNode) {
      return scalar(key, "[first, second]").stream().toList();
    }
    return items(
        key,
        (place, item) -> {
          if (item instanceof ScalarNode scalar) {
            return Optional.of(scalar.getValue());
          }
          problems.add(item, "\"%s\" is one text; write [first, second]".formatted(place));
          return Optional.empty();
        });
  }

  /** Returns the texts by their keys of the mapping under a key; none if it is not there. */
  Map<String, String> map(String key, String example) {
    Map<String, String> map = new LinkedHashMap<>();
    section(key)
        .ifPresent(
            section -> {
              for (String name : section.keys()) {
                map.put(name, section.text(name, example));
              }
            });
    return map;
  }

  /** Returns what the texts under a key stand for, by their keys. */
  <T> Map<String, T> wordMap(String key, Map<String, T> words) {
    Map<String, T> map = new LinkedHashMap<>();
    section(key)
        .ifPresent(
            section -> {
              for (String name : section.keys()) {
                section.word(name, words).ifPresent(meaning -> map.put(name, meaning));
              }
            });
    return map;
  }

  private <T> List<T> items(String key, BiFunction<String, Node, Optional<T>> reader) {
    List<T> items = new ArrayList<>();
    if (!has(key)) {
      return items;
    }
    if (!(values.get(key) instanceof SequenceNode sequence)) {
      problem(key, "is a list; write each item below it after \"- \"");
      return items;
    }
    if (sequence.getValue().size() > LONGEST_LIST) {
      problem(key, "has more than %d items; write fewer".formatted(LONGEST_LIST));
      return items;
    }
    for (Node item : sequence.getValue()) {
      String place = "%s[%d]".formatted(pathOf(key), items.size() + 1);
      reader.apply(place, item).ifPresent(items::add);
    }
    return items;
  }

  /** Adds a problem for every key that nobody asked for. */
  void end() {
    for (NodeTuple tuple : node.getValue()) {
      if (tuple.getKeyNode() instanceof ScalarNode key && !asked.contains(key.getValue())) {
        problems.add(
            key,
            "\"%s\" is no key here; %s"
                .formatted(
                    pathOf(Bytes.written(key.getValue())), Words.choice(key.getValue(), asked)));
      }
    }
  }

  private String pathOf(String key) {
    return path.isEmpty() ? key : path + "." + key;
  }
}
