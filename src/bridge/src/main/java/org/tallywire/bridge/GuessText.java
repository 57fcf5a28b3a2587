package org.tallywire.bridge;

import java.util.Map;
import java.util.stream.Collectors;

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
}
