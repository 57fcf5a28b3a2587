package org.tallywire.declared;

import com.google.re2j.Matcher;
import com.google.re2j.Pattern;
import com.google.re2j.PatternSyntaxException;
import java.util.ArrayDeque;
import java.util.Deque;
import java.util.LinkedHashMap;
import java.util.List;
import java.util.Map;
import java.util.Optional;

/**
 * A regular expression whose cost is bounded: RE2/J follows all its ways at once, so that a line of
 * n characters takes at most n times {@value #LARGEST} steps whatever the expression is. It matches
 * a whole line. Immutable.
 */
final class Regex {

  /** Steps of the program at most, repetitions written out. */
  static final int LARGEST = 4_000;

  /** Matches an empty line; stands in where an expression is wrong. */
  static final Regex NOTHING = new Regex(Pattern.compile(""));

  private static final java.util.regex.Pattern NAME =
      java.util.regex.Pattern.compile("[A-Za-z][A-Za-z0-9]*");
  private static final java.util.regex.Pattern COUNT =
      java.util.regex.Pattern.compile("\\{([0-9]{1,9})(?:,([0-9]{0,9}))?\\}");

  private final Pattern pattern;
  private final List<String> names;

  private Regex(Pattern pattern) {
    this.pattern = pattern;
    this.names =
        pattern.namedGroups().entrySet().stream()
            .sorted(Map.Entry.comparingByValue())
            .map(Map.Entry::getKey)
            .toList();
  }

  /** Reads an expression; the exception says what in it is wrong and what to write. */
  static Regex of(String text) throws RegexSyntaxException {
    requireSmall(text); // before it is compiled, since that writes repetitions out
    try {
      Regex regex = new Regex(Pattern.compile(text));
      for (String name : regex.names) {
        if (!NAME.matcher(name).matches()) {
          throw new RegexSyntaxException(
              "names a group \"%s\"; write letters and digits, a letter first".formatted(name));
        }
      }
      if (regex.pattern.programSize() > LARGEST) {
        throw tooLarge();
      }
      return regex;
    } catch (PatternSyntaxException e) {
      throw new RegexSyntaxException(
          "is no regular expression: %s, at \"%s\". There is no looking ahead or behind and no back reference; a special character meant as itself has a backslash before it"
              .formatted(e.getDescription(), e.getPattern()));
    }
  }

  private static RegexSyntaxException tooLarge() {
    return new RegexSyntaxException(
        "has counts that make more than %d steps; write smaller counts".formatted(LARGEST));
  }

  /** Adds up how many characters it has once repetitions are written out. */
  private static void requireSmall(String text) throws RegexSyntaxException {
    Deque<long[]> groups = new ArrayDeque<>(List.of(new long[1]));
    long last = 0;
    for (int i = 0; i < text.length(); i++) {
      java.util.regex.Matcher count = COUNT.matcher(text).region(i, text.length());
      if (text.charAt(i) == '(') {
        groups.push(new long[1]);
        last = 0;
      } else if (text.charAt(i) == ')' && groups.size() > 1) {
        last = groups.pop()[0];
        groups.element()[0] += last;
      } else if (count.lookingAt()) {
        String most = count.group(2);
        long times = Long.parseLong(most == null || most.isEmpty() ? count.group(1) : most);
        groups.element()[0] += last * Math.max(0, times - 1);
        i = count.end() - 1;
      } else {
        i += text.charAt(i) == '\\' ? 1 : 0;
        last = 1;
        groups.element()[0] += last;
      }
      if (groups.element()[0] > LARGEST) {
        throw tooLarge();
      }
    }
  }

  /** Returns the names of its groups, in their order. */
  List<String> names() {
    return names;
  }

  /**
   * Returns what its groups took of the line, those that took part; nothing if it does not match.
   */
  Optional<Map<String, String>> match(String line) {
    Matcher matcher = pattern.matcher(line);
    if (!matcher.matches()) {
      return Optional.empty();
    }
    Map<String, String> groups = new LinkedHashMap<>();
    for (String name : names) {
      String taken = matcher.group(name);
      if (taken != null) {
        groups.put(name, taken);
      }
    }
    return Optional.of(groups);
  }
}
