package org.tallywire.bridge;

import java.util.Optional;
import java.util.Set;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * Letters with a number behind them and nothing between, such as {@code R0417}, in lines of one
 * shape.
 *
 * @param letters the same in all lines
 * @param text of the first line, whole
 * @param isDecimal whether all the numbers are of decimal digits
 */
record LetteredNumber(String letters, String text, boolean isDecimal) {

  private static final Pattern FORM = Pattern.compile("([A-Za-z]{1,3})([0-9][0-9A-F]{1,8})");

  /** Returns what such texts have in common, if all of them are such. */
  static Optional<LetteredNumber> of(Set<String> texts) {
    Optional<LetteredNumber> all = Optional.empty();
    for (String text : texts) {
      Matcher matcher = FORM.matcher(text);
      if (!matcher.matches()
          || all.filter(one -> !one.letters().equals(matcher.group(1))).isPresent()) {
        return Optional.empty();
      }
      boolean decimal =
          matcher.group(2).matches("[0-9]+") && all.map(LetteredNumber::isDecimal).orElse(true);
      all =
          Optional.of(
              new LetteredNumber(
                  matcher.group(1), all.map(LetteredNumber::text).orElse(text), decimal));
    }
    return all;
  }

  /** Returns the letters of such a text, with a mark; any other text as it is. */
  static String withoutNumber(String text) {
    return of(Set.of(text)).map(found -> found.letters() + "_number").orElse(text);
  }

  /** Returns the number behind the letters, which is one of decimal digits. */
  static long digits(String text) {
    return Long.parseLong(text.replaceFirst("^[A-Za-z]+", ""));
  }

  boolean isTap() {
    return isDecimal && (letters.equals("T") || letters.equalsIgnoreCase("TAP"));
  }

  /** Returns the regular expression for it, with the number as a field. */
  String regex(String field) {
    return "%s(?<%s>%s)".formatted(letters, field, isDecimal ? "[0-9]+" : "[0-9A-F]+");
  }

  /** Returns what was guessed of it as a field. */
  String remark(Set<String> texts, String field) {
    return switch (field) {
      case "number" ->
          "%s rises by one from line to line: taken for the meter's count".formatted(texts);
      case "tap" -> "%s looks like a tap: taken for the label tap".formatted(texts);
      default ->
          "%s change and are not understood: the field %s is not used".formatted(texts, field);
    };
  }

  /** Returns what to say of one that did not vary in the lines there are. */
  String onlyOne(int lines) {
    return "\"%s\" is taken for fixed text, since %s: if its number varies, write %s"
        .formatted(
            text,
            lines == 1
                ? "one line alone cannot show what varies"
                : "it is the same in all %d lines".formatted(lines),
            regex("number"));
  }
}
