package org.tallywire.format;

import java.math.BigDecimal;
import java.util.ArrayList;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.TreeSet;
import java.util.function.Function;
import java.util.regex.Pattern;
import org.jspecify.annotations.Nullable;
import org.tallywire.api.Decimals;
import org.yaml.snakeyaml.nodes.MappingNode;
import org.yaml.snakeyaml.nodes.Node;
import org.yaml.snakeyaml.nodes.NodeTuple;
import org.yaml.snakeyaml.nodes.ScalarNode;
import org.yaml.snakeyaml.nodes.SequenceNode;
import org.yaml.snakeyaml.nodes.Tag;

/**
 * The keys of one mapping. What is missing or wrong is added to the problems and a stand-in is
 * returned, so that reading goes on and finds the rest; call {@link #end} when all known keys have
 * been asked for.
 */
public final class YamlSection {

  private final String file;
  private final String path;
  private final MappingNode node;
  private final Problems problems;
  private final Map<String, Node> values = new LinkedHashMap<>();
  private final Set<String> asked = new TreeSet<>();

  YamlSection(String file, String path, MappingNode node, Problems problems) {
    this.file = file;
    this.path = path;
    this.node = node;
    this.problems = problems;
    for (NodeTuple tuple : node.getValue()) {
      String key = tuple.getKeyNode() instanceof ScalarNode scalar ? scalar.getValue() : "?";
      if (values.put(key, tuple.getValueNode()) != null) {
        problem(tuple.getKeyNode(), key, "stands twice; keep one");
      }
    }
  }

  /** Returns the name of the file. */
  public String file() {
    return file;
  }

  /** Returns how many problems there are so far, in this and every other part. */
  int problems() {
    return problems.count();
  }

  /** Returns the keys that stand there, in their order. */
  public List<String> keys() {
    return List.copyOf(values.keySet());
  }

  /** Tells whether a key stands there. */
  public boolean has(String key) {
    asked.add(key);
    return values.containsKey(key);
  }

  /** Tells whether a key stands there with {@code null}: with nothing, which is no text. */
  boolean isNull(String key) {
    asked.add(key);
    return values.get(key) instanceof ScalarNode scalar && scalar.getTag().equals(Tag.NULL);
  }

  /** Tells whether a mapping stands under a key. */
  public boolean isSection(String key) {
    asked.add(key);
    return values.get(key) instanceof MappingNode;
  }

  /** Tells whether just that text stands under a key. */
  public boolean says(String key, String text) {
    asked.add(key);
    return values.get(key) instanceof ScalarNode scalar && scalar.getValue().equals(text);
  }

  /** Returns a text that must be there. */
  public String text(String key) {
    return optionalText(key)
        .orElseGet(
            () -> {
              if (!values.containsKey(key)) {
                problem(node, key, "is missing");
              }
              return "";
            });
  }

  /** Returns a text that may be there. */
  public Optional<String> optionalText(String key) {
    asked.add(key);
    Node value = values.get(key);
    if (value == null) {
      return Optional.empty();
    }
    if (value instanceof ScalarNode scalar && !scalar.getValue().isBlank()) {
      return Optional.of(scalar.getValue());
    }
    problem(value, key, "is to be one text");
    return Optional.empty();
  }

  /** Returns a text that must be there and be of the pattern. */
  public String text(String key, Pattern pattern, String inWords) {
    String text = text(key);
    if (!text.isEmpty() && !pattern.matcher(text).matches()) {
      problem(values.get(key), key, "\"%s\" is not %s".formatted(text, inWords));
    }
    return text;
  }

  /** Returns an exact decimal that must be there. */
  public BigDecimal decimal(String key) {
    return converted(key, "a decimal number such as 11000 or 0.5", Decimals::parse)
        .orElse(BigDecimal.ONE);
  }

  /** Returns an exact decimal, if the key is there. */
  public Optional<BigDecimal> optionalDecimal(String key) {
    return has(key) ? Optional.of(decimal(key)) : Optional.empty();
  }

  /** Returns a whole number that must be there and be in the range. */
  public int whole(String key, int from, int to) {
    return converted(
            key,
            "a whole number from %d to %d".formatted(from, to),
            text ->
                Decimals.parse(text)
                    .filter(d -> d.scale() == 0)
                    .filter(d -> d.compareTo(BigDecimal.valueOf(from)) >= 0)
                    .filter(d -> d.compareTo(BigDecimal.valueOf(to)) <= 0)
                    .map(BigDecimal::intValue))
        .orElse(from);
  }

  /** Returns a whole number, or the default if the key is not there. */
  public int whole(String key, int from, int to, int otherwise) {
    return has(key) ? whole(key, from, to) : otherwise;
  }

  /** Returns yes or no, or the default if the key is not there. */
  public boolean flag(String key, boolean otherwise) {
    if (!has(key)) {
      return otherwise;
    }
    return converted(
            key,
            "true or false",
            text ->
                switch (text) {
                  case "true" -> Optional.of(true);
                  case "false" -> Optional.of(false);
                  default -> Optional.empty();
                })
        .orElse(otherwise);
  }

  /**
   * Returns what a text that must be there is turned into; nothing, and a problem, if it cannot.
   */
  public <T> Optional<T> converted(
      String key, String inWords, Function<String, Optional<T>> conversion) {
    String text = text(key);
    if (text.isEmpty()) {
      return Optional.empty();
    }
    Optional<T> result = conversion.apply(text);
    if (result.isEmpty()) {
      problem(values.get(key), key, "\"%s\" is not %s".formatted(text, inWords));
    }
    return result;
  }

  /** Returns the mapping under a key, if it is there. */
  public Optional<YamlSection> section(String key) {
    asked.add(key);
    Node value = values.get(key);
    if (value instanceof MappingNode mapping) {
      return Optional.of(new YamlSection(file, pathOf(key), mapping, problems));
    }
    if (value != null) {
      problem(value, key, "is to hold \"key: value\" lines");
    }
    return Optional.empty();
  }

  /** Returns the mapping under a key that must be there. */
  public Optional<YamlSection> requiredSection(String key) {
    if (!has(key)) {
      problem(node, key, "is missing");
    }
    return section(key);
  }

  /** Returns the mappings of the list under a key; none if it is not there. */
  public List<YamlSection> list(String key) {
    List<YamlSection> items = new ArrayList<>();
    int index = 0;
    for (Node item : items(key)) {
      index++;
      String place = "%s[%d]".formatted(key, index);
      if (item instanceof MappingNode mapping) {
        items.add(new YamlSection(file, pathOf(place), mapping, problems));
      } else {
        problem(item, place, "is to hold \"key: value\" lines");
      }
    }
    return items;
  }

  /** Returns the texts of the list under a key; none if it is not there. */
  public List<String> texts(String key) {
    List<String> texts = new ArrayList<>();
    for (Node item : items(key)) {
      if (item instanceof ScalarNode scalar && !scalar.getValue().isBlank()) {
        texts.add(scalar.getValue());
      } else {
        problem(item, key, "is to be a list of texts");
      }
    }
    return texts;
  }

  private List<Node> items(String key) {
    asked.add(key);
    Node value = values.get(key);
    if (value instanceof SequenceNode sequence) {
      return sequence.getValue();
    }
    if (value != null) {
      problem(value, key, "is to be a list, each item after a \"- \"");
    }
    return List.of();
  }

  /** Adds a problem with the value of a key. */
  public void problem(String key, String what) {
    problem(values.getOrDefault(key, node), key, what);
  }

  /** Adds a problem for every key that nobody asked for. */
  public void end() {
    for (NodeTuple tuple : node.getValue()) {
      if (tuple.getKeyNode() instanceof ScalarNode key && !asked.contains(key.getValue())) {
        problem(
            key, key.getValue(), "is no key here; the keys here are " + String.join(", ", asked));
      }
    }
  }

  private void problem(@Nullable Node at, String key, String what) {
    Node place = at == null ? node : at;
    problems.add(
        "%s line %d column %d: %s %s"
            .formatted(
                file,
                place.getStartMark().getLine() + 1,
                place.getStartMark().getColumn() + 1,
                pathOf(key),
                what));
  }

  private String pathOf(String key) {
    return path.isEmpty() ? key : path + "." + key;
  }
}
