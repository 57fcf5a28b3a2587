package org.tallywire.bridge;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * A piece of a line of an unknown meter.
 *
 * @param kind what it looks like
 * @param text as it stands in the line
 */
record LineToken(Kind kind, String text) {

  /** What a piece looks like. */
  enum Kind {
    DATE,
    CLOCK,
    /**
     * What stands where a number cannot be given: {@code OL}, {@code >9999}, {@code ----}, {@code
     * --.-}.
     */
    MARK,
    NUMBER,
    WORD,
    BLANKS,
    OTHER
  }

  private static final Pattern WITH_COMMAS = pattern("[.,]");
  private static final Pattern WITHOUT = pattern("[.]");

  private static Pattern pattern(String mark) {
    return Pattern.compile(
        "(?<date>\\b[0-9]{4}-[0-9]{2}-[0-9]{2}\\b|\\b[0-9]{2}[./][0-9]{2}[./][0-9]{2,4}\\b)"
            + "|(?<clock>\\b[0-9]{2}:[0-9]{2}(?::[0-9]{2})?\\b)"
            + "|(?<mark>\\b(?:OL|O\\.L|OVER|OVERLOAD|OVR|UNDER|OPEN)\\b|[<>][0-9]+(?:"
            + mark
            + "[0-9]+)*|(?<![A-Za-z0-9-])-+"
            + mark
            + "-+|-{3,}|(?<![^ ,;\\t|])--?(?![^ ,;\\t|]))"
            + "|(?<number>(?:(?<![0-9])\\+ ?|(?<![A-Za-z0-9])- ?)?(?:[0-9]+(?:"
            + mark
            + "[0-9]+)*|\\.[0-9]+)(?:[eE][-+]?[0-9]{1,2}(?![A-Za-z0-9]))?)"
            + "|(?<word>[A-Za-z\\u0080-\\u00FF%][A-Za-z0-9\\u0080-\\u00FF%_-]*)"
            + "|(?<blanks> +)"
            + "|(?<other>.)",
        Pattern.DOTALL);
  }

  /**
   * Cuts a line.
   *
   * @param commas whether a comma can be in a number
   */
  static List<LineToken> of(String line, boolean commas) {
    List<LineToken> tokens = new ArrayList<>();
    Matcher matcher = (commas ? WITH_COMMAS : WITHOUT).matcher(line);
    while (matcher.find()) {
      tokens.add(new LineToken(kind(matcher), matcher.group()));
    }
    return tokens;
  }

  private static Kind kind(Matcher matcher) {
    for (Kind kind : Kind.values()) {
      if (matcher.group(kind.name().toLowerCase(Locale.ROOT)) != null) {
        return kind;
      }
    }
    return Kind.OTHER;
  }

  /** Tells whether a number stands here, or what stands in place of one. */
  boolean isNumber() {
    return kind == Kind.NUMBER || kind == Kind.MARK;
  }

  /** Returns what lines of one rule have in common here. */
  String shape() {
    return switch (kind) {
      case MARK, NUMBER -> "N";
      case OTHER -> text;
      default -> kind.name().substring(0, 1) + "_";
    };
  }
}
