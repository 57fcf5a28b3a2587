package org.tallywire.simulator.scenario;

import java.util.ArrayList;
import java.util.List;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import org.tallywire.simulator.scenario.Problems.Place;
import org.yaml.snakeyaml.DumperOptions.FlowStyle;
import org.yaml.snakeyaml.DumperOptions.ScalarStyle;
import org.yaml.snakeyaml.error.Mark;
import org.yaml.snakeyaml.nodes.MappingNode;
import org.yaml.snakeyaml.nodes.NodeTuple;
import org.yaml.snakeyaml.nodes.ScalarNode;
import org.yaml.snakeyaml.nodes.Tag;

/**
 * A fault in one line, apart from the clauses that say when it is there: {@code from 20 s}, {@code
 * until 30 s}, {@code for 5 s}.
 *
 * @param head the fault
 * @param times the clauses, as if they were written as keys
 */
record Clauses(String head, Section times) {

  private static final Pattern LINE =
      Pattern.compile("(.*?)(?:\\s+from\\s+(.+?))?(?:\\s+(until|for)\\s+(.+?))?\\s*");
  private static final int LONGEST = 1000;

  /** Tells whether a text is short enough and in one line. */
  static boolean oneLine(String text) {
    return text.length() <= LONGEST && !text.isBlank() && LINE.matcher(text).matches();
  }

  /** Takes a line apart that begins at a place. */
  static Clauses of(String text, Place place, Problems problems) {
    Matcher line = LINE.matcher(text);
    if (text.length() > LONGEST || !line.matches()) {
      return new Clauses(text, Section.empty("", place, problems));
    }
    List<NodeTuple> tuples = new ArrayList<>();
    if (line.group(2) != null) {
      tuples.add(clause("from", line.group(2), mark(text, line.start(2), place)));
    }
    if (line.group(3) != null) {
      tuples.add(clause(line.group(3), line.group(4), mark(text, line.start(4), place)));
    }
    Mark start = mark(text, 0, place);
    MappingNode node = new MappingNode(Tag.MAP, false, tuples, start, start, FlowStyle.FLOW);
    return new Clauses(line.group(1), Section.of("", node, FaultReader.TIMES, problems));
  }

  private static NodeTuple clause(String key, String value, Mark mark) {
    return new NodeTuple(scalar(key, mark), scalar(value, mark));
  }

  private static ScalarNode scalar(String value, Mark mark) {
    return new ScalarNode(Tag.STR, value, mark, mark, ScalarStyle.PLAIN);
  }

  private static Mark mark(String text, int index, Place place) {
    int characters = text.codePointCount(0, index);
    int column = place.column() - 1 + characters;
    return new Mark("", column, place.line() - 1, column, text.codePoints().toArray(), characters);
  }
}
