package org.tallywire.declared;

import java.util.List;
import java.util.Map;
import java.util.Optional;
import java.util.Set;

/**
 * What a kind of line is and what comes of it; of a file's rules the first that knows a line
 * counts.
 *
 * @param name for messages
 * @param form how its lines are known
 * @param where fields that must hold one of some texts
 * @param block its place in a block of lines
 * @param remember fields that later lines need
 * @param identifies whether its fields say who the instrument is
 * @param started whether it says that the instrument was switched on
 * @param error whether it says that the instrument refused something
 * @param count the instrument's own number for the reading, if it has one
 * @param time when the instrument took the reading, if it says so
 * @param readings what comes of it
 */
record LineRule(
    String name,
    Form form,
    Map<String, Set<String>> where,
    Block block,
    List<String> remember,
    boolean identifies,
    boolean started,
    boolean error,
    Optional<CountRule> count,
    Optional<TimeRule> time,
    List<ReadingRule> readings) {

  /** The place of a line in a block. */
  enum Block {
    NONE,
    BEGINS,
    INSIDE,
    ENDS
  }

  /** Returns the fields of a line, or nothing if this rule does not know it. */
  Optional<Map<String, String>> match(String line) {
    return form.match(line)
        .filter(
            fields ->
                where.entrySet().stream()
                    .allMatch(
                        e -> e.getValue().contains(fields.getOrDefault(e.getKey(), "").strip())));
  }
}
