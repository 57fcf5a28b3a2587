package org.tallywire.simulator.scenario;

import java.io.StringReader;
import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;
import java.util.regex.Pattern;
import org.jspecify.annotations.Nullable;
import org.tallywire.simulator.scenario.Problems.Place;
import org.yaml.snakeyaml.LoaderOptions;
import org.yaml.snakeyaml.Yaml;
import org.yaml.snakeyaml.error.Mark;
import org.yaml.snakeyaml.error.MarkedYAMLException;
import org.yaml.snakeyaml.error.YAMLException;
import org.yaml.snakeyaml.nodes.MappingNode;
import org.yaml.snakeyaml.nodes.Node;
import org.yaml.snakeyaml.nodes.ScalarNode;
import org.yaml.snakeyaml.nodes.SequenceNode;
import org.yaml.snakeyaml.nodes.Tag;
import org.yaml.snakeyaml.reader.ReaderException;

/**
 * Reads YAML as nodes with their places, never as objects: keys with values, lists and plain values
 * only. Tags, anchors and aliases are refused.
 */
final class PlainYaml {

  private static final int DEEPEST = 8;

  private static final Set<Tag> PLAIN_TAGS =
      Set.of(
          Tag.STR,
          Tag.INT,
          Tag.FLOAT,
          Tag.BOOL,
          Tag.NULL,
          Tag.TIMESTAMP,
          Tag.MERGE,
          Tag.MAP,
          Tag.SEQ);

  private static final String UNCLOSED_QUOTE = "found unexpected end of stream";
  private static final String NO_COLON = "could not find expected ':'";
  private static final String BAD_INDENTATION = "expected <block end>";
  private static final String SECOND_COLON = "mapping values are not allowed here";

  private static final String LINE_ENDS = "\r\n|[\n\r\u0085\u2028\u2029]";

  /** Where a line begins with nothing but a key, up to its colon. */
  private static final Pattern KEY_ALONE = Pattern.compile("\\s*(?:- +)?[^:\"'{}\\[\\],]+");

  /** What the parser says, by a piece of it, and what a person can do with it. */
  private static final List<Map.Entry<String, String>> SENTENCES =
      List.of(
          Map.entry("TAB", "a tab stands here; indent with spaces"),
          Map.entry(
              SECOND_COLON,
              "a second colon in one value; put the key on a line of its own, or a text with a"
                  + " colon in \"quotes\""),
          Map.entry(
              "expected ',' or '}'",
              "a { further up is not closed with }, or a comma is missing before this"),
          Map.entry(
              "expected ',' or ']'",
              "a [ further up is not closed with ], or a comma is missing before this"),
          Map.entry(UNCLOSED_QUOTE, "the quotation mark that opens here is not closed"),
          Map.entry(NO_COLON, "a colon is missing after the key above this"),
          Map.entry(BAD_INDENTATION, "this line is not indented as those it belongs to above"),
          Map.entry(
              "but found another document", "a second document begins; one file is one scenario"),
          Map.entry(
              "expected the node content", "something is missing before this, such as a value"),
          Map.entry(
              "expected '<document start>'",
              "this line does not go on with what stands above; look at its indentation"),
          Map.entry("chomping or indentation", "nothing may stand after > or | in the same line"),
          Map.entry("a comment or a line break", "nothing may stand after > or | in the same line"),
          Map.entry(
              "sequence entries are not allowed", "an item \"- \" is to begin on its own line"),
          Map.entry("mapping keys are not allowed", "a key is to begin on its own line"),
          Map.entry(
              "unexpected character found",
              "a value that begins with & or * is to stand in \"quotes\""),
          Map.entry(
              "expected alphabetic or numeric character",
              "a value that begins with & or * is to stand in \"quotes\""),
          Map.entry("tag is not allowed", "tags (!) are not used here; leave it out"),
          Map.entry("found undefined alias", "a value begins with *; put it in \"quotes\""),
          Map.entry(
              "that cannot start any token",
              "no value can begin with this character; put the value in \"quotes\""));

  private PlainYaml() {}

  /** Returns the top of a text, nothing for an empty one; throws if it is no plain YAML. */
  static Optional<Node> top(String text, Problems problems) throws ScenarioException {
    LoaderOptions options = new LoaderOptions();
    options.setNestingDepthLimit(DEEPEST);
    options.setMaxAliasesForCollections(0);
    try {
      Node top = new Yaml(options).compose(new StringReader(text));
      if (top != null) {
        requirePlain(top, problems);
      }
      problems.refuse();
      return Optional.ofNullable(top);
    } catch (MarkedYAMLException e) {
      tell(e, text, problems);
    } catch (ReaderException e) {
      problems.add(
          place(text, e.getPosition()),
          "the character U+%04X cannot stand in a text".formatted(e.getCodePoint()));
    } catch (YAMLException e) {
      problems.add(start(), sentence(e.getMessage()));
    }
    problems.refuse();
    throw new IllegalStateException("a problem was told and not refused");
  }

  /** Tells what the parser found, at the place where a person has to do something. */
  private static void tell(MarkedYAMLException found, String text, Problems problems) {
    String problem = String.valueOf(found.getProblem());
    Mark mark = found.getProblemMark();
    Mark context = found.getContextMark();
    String[] lines = text.split(LINE_ENDS, -1);
    Optional<Place> tooClose = Optional.empty();
    String more = "";
    if (problem.contains(UNCLOSED_QUOTE)) {
      mark = context == null ? mark : context;
    } else if (problem.contains(NO_COLON) && context != null) {
      tooClose = tooClose(lines, context.getLine());
    } else if (problem.contains(SECOND_COLON) && mark != null) {
      int line = mark.getLine();
      tooClose = tooClose(lines, line).or(() -> tooClose(lines, lineAbove(lines, line)));
      more = beginsWithKey(lines, mark) ? ", or indent this line like the one above" : "";
    } else if (problem.contains(BAD_INDENTATION) && mark != null) {
      tooClose = tooClose(lines, lineAbove(lines, mark.getLine()));
    }
    if (tooClose.isPresent()) {
      problems.add(tooClose.get(), Wording.SPACE_AFTER_COLON);
    } else {
      problems.add(mark == null ? start() : Place.of(mark), sentence(problem) + more);
    }
  }

  /** Returns where a space is missing if a line is a key, a colon and a value without one. */
  private static Optional<Place> tooClose(String[] lines, int line) {
    if (line < 0 || line >= lines.length) {
      return Optional.empty();
    }
    String written = lines[line];
    int colon = written.indexOf(':');
    return Wording.spaceIsMissing(written.strip().replaceFirst("^(- +)+", ""))
        ? Optional.of(new Place(line + 1, written.codePointCount(0, colon) + 2))
        : Optional.empty();
  }

  /** Returns the nearest line above in which something stands, -1 for none. */
  private static int lineAbove(String[] lines, int line) {
    int above = Math.min(line, lines.length) - 1;
    while (above >= 0 && lines[above].strip().replaceFirst("^#.*", "").isEmpty()) {
      above--;
    }
    return above;
  }

  private static boolean beginsWithKey(String[] lines, Mark colon) {
    if (colon.getLine() == 0 || colon.getLine() >= lines.length) {
      return false;
    }
    String line = lines[colon.getLine()];
    int end = Math.min(colon.getColumn(), line.codePointCount(0, line.length()));
    return KEY_ALONE.matcher(line.substring(0, line.offsetByCodePoints(0, end))).matches();
  }

  private static Place start() {
    return new Place(1, 1);
  }

  private static Place place(String text, int position) {
    String before = text.substring(0, Math.min(position, text.length()));
    int lineStart = before.lastIndexOf('\n') + 1;
    return new Place(
        (int) before.chars().filter(c -> c == '\n').count() + 1,
        before.codePointCount(lineStart, before.length()) + 1);
  }

  private static String sentence(@Nullable String problem) {
    String found = String.valueOf(problem);
    if (found.contains("Nesting Depth")) {
      return "more than %d levels inside each other".formatted(DEEPEST);
    }
    if (found.contains("aliases for non-scalar")) {
      return "anchors (&) and aliases (*) are not used here; write it out";
    }
    return SENTENCES.stream()
        .filter(sentence -> found.contains(sentence.getKey()))
        .map(Map.Entry::getValue)
        .findFirst()
        .orElse("this is not YAML: " + found);
  }

  private static void requirePlain(Node node, Problems problems) {
    if (node.getAnchor() != null) {
      problems.add(Place.of(node), "anchors (&) and aliases (*) are not used here; write it out");
    }
    if (!PLAIN_TAGS.contains(node.getTag())) {
      String why =
          node instanceof ScalarNode scalar && scalar.isPlain() && scalar.getValue().equals("=")
              ? "\"=\" is no value"
              : "tags (!) are not used here; leave it out";
      problems.add(Place.of(node), why);
    }
    if (node instanceof SequenceNode sequence) {
      sequence.getValue().forEach(item -> requirePlain(item, problems));
    } else if (node instanceof MappingNode mapping) {
      mapping
          .getValue()
          .forEach(
              tuple -> {
                requirePlain(tuple.getKeyNode(), problems);
                requirePlain(tuple.getValueNode(), problems);
              });
    }
  }
}
