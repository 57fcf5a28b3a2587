package org.tallywire.declared;

import java.util.ArrayList;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Set;
import org.jspecify.annotations.Nullable;
import org.yaml.snakeyaml.error.Mark;
import org.yaml.snakeyaml.nodes.Node;

/** Collects what is wrong with one file, so that all of it is told at once. */
final class Problems {

  private final String file;
  private final Set<String> sentences = new LinkedHashSet<>();

  Problems(String file) {
    this.file = file;
  }

  void add(Node at, String sentence) {
    add(at.getStartMark(), sentence);
  }

  void add(@Nullable Mark at, String sentence) {
    int line = at == null ? 1 : at.getLine() + 1;
    int column = at == null ? 1 : at.getColumn() + 1;
    sentences.add("%s:%d:%d: %s".formatted(file, line, column, sentence));
  }

  boolean any() {
    return !sentences.isEmpty();
  }

  int count() {
    return sentences.size();
  }

  void throwIfAny() throws DeclarationException {
    if (any()) {
      throw new DeclarationException(new ArrayList<>(List.copyOf(sentences)));
    }
  }
}
