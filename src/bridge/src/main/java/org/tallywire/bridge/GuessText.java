package org.tallywire.bridge;

import java.util.Map;
import java.util.Set;
import java.util.stream.Collectors;
import java.util.stream.Stream;

/** Pieces of a guessed file as they are written in it. */
final class GuessText {

  private GuessText() {}

  /** Returns a text that a regular expression takes as it is. */
  static String escaped(String text) {
    return text.replaceAll("([\\\\.\\[\\]{}()*+?^$|])", "\\\\$1");
  }

  /** Returns a text in YAML's single quotes. */
  static String quoted(String text) {
    return "'" + text.replace("'", "''") + "'";
  }

  /** Returns a mapping on one line, keys and values in quotes. */
  static String words(Map<String, String> words) {
    return words.entrySet().stream()
        .map(e -> quoted(e.getKey()) + ": " + quoted(e.getValue()))
        .collect(Collectors.joining(", ", "{", "}"));
  }

  /** Returns the regular expression of words such as these. */
  static String wordPattern(Set<String> texts) {
    return texts.stream().allMatch(t -> t.matches("[ -~]*")) ? "[A-Za-z0-9%_-]+" : "\\S+";
  }

  /** Returns what separates four fields of a line, as an identity has; empty if nothing does. */
  static String separatorOfFour(String line) {
    return Stream.of(";", ",").filter(by -> line.split(by, -1).length == 4).findFirst().orElse("");
  }

  /** Returns the beginning of a line, for people. */
  static String shortened(String line) {
    return Visible.text(line.length() > 40 ? line.substring(0, 40) + "…" : line);
  }
}
