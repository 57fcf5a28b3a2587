package org.tallywire.declared;

import java.util.Comparator;
import java.util.LinkedHashSet;
import java.util.Set;
import org.jspecify.annotations.Nullable;
import org.yaml.snakeyaml.error.Mark;
import org.yaml.snakeyaml.nodes.Node;

/** Collects what is wrong with one file, so that all of it is told at once. */
final class Problems {

  private final String file;
  private final Set<Problem> problems = new LinkedHashSet<>();

  private record Problem(int line, int column, String sentence) {}

  Problems(String file) {
    this.file = file;
  }

  void add(Node at, String sentence) {
    add(at.getStartMark(), sentence);
  }

  void add(@Nullable Mark at, String sentence) {
    int line = at == null ? 1 : at.getLine() + 1;
    int column = at == null ? 1 : at.getColumn() + 1;
    problems.add(new Problem(line, column, sentence));
  }

  /** Throws if there are any, all of them in the order of the file. */
  void throwIfAny() throws DeclarationException {
    if (!problems.isEmpty()) {
      throw new DeclarationException(
          problems.stream()
              .sorted(Comparator.comparingInt(Problem::line).thenComparingInt(Problem::column))
              .map(p -> "%s:%d:%d: %s".formatted(file, p.line(), p.column(), p.sentence()))
              .toList());
    }
  }
}
