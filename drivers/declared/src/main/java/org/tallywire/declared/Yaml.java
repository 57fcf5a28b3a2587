package org.tallywire.declared;

import java.io.StringReader;
import java.util.Optional;
import org.jspecify.annotations.Nullable;
import org.yaml.snakeyaml.LoaderOptions;
import org.yaml.snakeyaml.error.Mark;
import org.yaml.snakeyaml.error.MarkedYAMLException;
import org.yaml.snakeyaml.error.YAMLException;
import org.yaml.snakeyaml.nodes.MappingNode;
import org.yaml.snakeyaml.nodes.Node;
import org.yaml.snakeyaml.nodes.SequenceNode;
import org.yaml.snakeyaml.reader.ReaderException;

/**
 * Reads YAML, and JSON with it, as text with places: never as objects, without anchors and tags.
 */
final class Yaml {

  private static final int DEEPEST = 12;
  private static final String STANDARD = "tag:yaml.org,2002:";
  private static final @Nullable Mark START = null;

  private Yaml() {}

  /** Returns the top of a text, or nothing and a problem. */
  static Optional<Section> read(String text, Problems problems) {
    LoaderOptions options = new LoaderOptions();
    options.setNestingDepthLimit(DEEPEST);
    options.setMaxAliasesForCollections(Integer.MAX_VALUE); // refused below, in a sentence
    try {
      Node top = new org.yaml.snakeyaml.Yaml(options).compose(new StringReader(text));
      if (top == null) {
        problems.add(START, "the file is empty; begin with driver: a-name");
      } else if (!(top instanceof MappingNode mapping)) {
        problems.add(top, "the file holds no \"key: value\" lines; begin with driver: a-name");
      } else if (isPlain(top, problems)) {
        return Optional.of(new Section("", mapping, problems));
      }
    } catch (MarkedYAMLException e) {
      Mark mark = e.getProblemMark() == null ? e.getContextMark() : e.getProblemMark();
      problems.add(
          mark,
          "this is no YAML (%s); look at the indentation, quotation marks and brackets here"
              .formatted(e.getProblem()));
    } catch (ReaderException e) {
      String before = text.substring(0, Math.min(e.getPosition(), text.length()));
      problems.add(
          START,
          "the character U+%04X in line %d cannot stand in a file; write it as \\x%02X"
              .formatted(e.getCodePoint(), before.lines().count(), e.getCodePoint() & 0xFF));
    } catch (YAMLException e) {
      problems.add(START, "this is no YAML: %s; write fewer levels".formatted(e.getMessage()));
    }
    return Optional.empty();
  }

  private static boolean isPlain(Node node, Problems problems) {
    if (node.getAnchor() != null) {
      problems.add(
          node, "anchors (&) and aliases (*) are not taken here; write the same out at each place");
      return false;
    }
    if (!node.getTag().getValue().startsWith(STANDARD)) {
      problems.add(node, "tags (!) are not used here; leave it out");
      return false;
    }
    boolean plain = true;
    if (node instanceof SequenceNode sequence) {
      for (Node item : sequence.getValue()) {
        plain &= isPlain(item, problems);
      }
    } else if (node instanceof MappingNode mapping) {
      for (var tuple : mapping.getValue()) {
        plain &= isPlain(tuple.getKeyNode(), problems);
        plain &= isPlain(tuple.getValueNode(), problems);
      }
    }
    return plain;
  }
}
