package org.tallywire.bridge;

import java.util.ArrayList;
import java.util.List;

/** Splits a program and its arguments, written in one, as people know it from a shell. */
final class CommandWords {

  private CommandWords() {}

  /**
   * Splits at blanks outside quotes, of either kind; nothing else has a meaning.
   *
   * @throws IllegalArgumentException if a quote does not end, or there is no word
   */
  static List<String> split(String text) {
    List<String> words = new ArrayList<>();
    StringBuilder word = new StringBuilder();
    boolean begun = false;
    char quote = 0;
    for (int i = 0; i < text.length(); i++) {
      char c = text.charAt(i);
      if (quote != 0) {
        if (c == quote) {
          quote = 0;
        } else {
          word.append(c);
        }
      } else if (c == '"' || c == '\'') {
        quote = c;
        begun = true;
      } else if (Character.isWhitespace(c)) {
        if (begun) {
          words.add(word.toString());
          word.setLength(0);
          begun = false;
        }
      } else {
        word.append(c);
        begun = true;
      }
    }
    if (quote != 0) {
      throw new IllegalArgumentException("a quote %c does not end".formatted(quote));
    }
    if (begun) {
      words.add(word.toString());
    }
    if (words.isEmpty()) {
      throw new IllegalArgumentException("a program is at least one word");
    }
    return words;
  }
}
