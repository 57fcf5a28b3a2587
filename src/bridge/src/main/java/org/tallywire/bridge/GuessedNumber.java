package org.tallywire.bridge;

import java.util.LinkedHashMap;
import java.util.Map;
import java.util.Set;
import java.util.stream.Collectors;

/** What a number looks like in lines of one shape, and what stands there where none can. */
final class GuessedNumber {

  /** A mark that stands where nothing was measured. */
  static final String NOT_MEASURED = "-";

  private GuessedNumber() {}

  /** Tells whether a number has a decimal point where others have a comma. */
  static boolean isOfAnotherStyle(Set<String> texts, boolean commas) {
    return commas
        && texts.stream()
            .anyMatch(
                t ->
                    t.matches(".*[0-9].*")
                        && t.contains(".")
                        && !t.matches(".*[0-9]{1,3}(\\.[0-9]{3})+(,.*)?"));
  }

  private static boolean isMark(String text) {
    return !text.matches(".*[0-9].*") || text.matches("[<>].*");
  }

  /** Returns what stands in place of a number, and what it probably means. */
  static Map<String, String> marks(Set<String> texts) {
    Map<String, String> marks = new LinkedHashMap<>();
    texts.stream()
        .filter(text -> !text.equals(NOT_MEASURED) && isMark(text))
        .forEach(text -> marks.put(text, MeterWords.reason(text)));
    return marks;
  }

  /** Returns the regular expression of such numbers and marks. */
  static String pattern(Set<String> texts, boolean commas) {
    boolean exponent = texts.stream().anyMatch(t -> t.matches(".*[0-9][eE].*"));
    String number =
        "[-+]? ?[0-9.%s]+%s".formatted(commas ? "," : "", exponent ? "(?:[eE][-+]?[0-9]+)?" : "");
    String marks =
        texts.stream()
            .filter(GuessedNumber::isMark)
            .map(GuessText::escaped)
            .collect(Collectors.joining("|"));
    return marks.isEmpty() ? number : marks + "|" + number;
  }
}
