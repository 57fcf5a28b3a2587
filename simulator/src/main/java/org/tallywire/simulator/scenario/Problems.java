package org.tallywire.simulator.scenario;

import java.util.ArrayList;
import java.util.Comparator;
import java.util.List;
import org.yaml.snakeyaml.error.Mark;
import org.yaml.snakeyaml.nodes.Node;

/**
 * Everything that was found wrong in one text, each with its place, so that all is told at once.
 */
final class Problems {

  private final String prefix;
  private final List<Problem> problems = new ArrayList<>();

  /**
   * Where something stands.
   *
   * @param line from 1
   * @param column from 1, in characters
   */
  record Place(int line, int column) {

    static Place of(Mark mark) {
      return new Place(mark.getLine() + 1, mark.getColumn() + 1);
    }

    static Place of(Node node) {
      return of(node.getStartMark());
    }
  }

  private record Problem(Place place, String words) {}

  private Problems(String prefix) {
    this.prefix = prefix;
  }

  /** Of a file; its name begins each sentence. */
  static Problems inFile(String name) {
    return new Problems(name + " line ");
  }

  /** Of a single line, in which only the column is told. */
  static Problems inLine() {
    return new Problems("");
  }

  void add(Place place, String words) {
    problems.add(new Problem(place, words));
  }

  int count() {
    return problems.size();
  }

  /** Goes on if nothing is wrong. */
  void refuse() throws ScenarioException {
    if (!problems.isEmpty()) {
      throw new ScenarioException(
          problems.stream()
              .sorted(
                  Comparator.comparingInt((Problem p) -> p.place().line())
                      .thenComparingInt(p -> p.place().column()))
              .map(this::sentence)
              .distinct()
              .toList());
    }
  }

  private String sentence(Problem problem) {
    Place place = problem.place();
    String where = prefix.isEmpty() ? "" : prefix + place.line() + " ";
    return "%scolumn %d: %s".formatted(where, place.column(), problem.words());
  }
}
