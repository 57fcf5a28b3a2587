package org.tallywire.kit;

import java.util.ArrayList;
import java.util.List;
import java.util.Locale;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/** Reads ABNF: one rule after the other, each with its lines put together. */
final class AbnfParser {

  private static final Pattern HEAD = Pattern.compile("([A-Za-z][A-Za-z0-9-]*)\\s*(=/?)");
  private static final Pattern NAME = Pattern.compile("[A-Za-z][A-Za-z0-9-]*");
  private static final Pattern REPEAT = Pattern.compile("([0-9]*)(\\*?)([0-9]*)");
  private static final Pattern STRING = Pattern.compile("(%[siSI])?\"([ !#-~]*)\"");
  private static final Pattern NUMBER =
      Pattern.compile("%([bdxBDX])([0-9A-Fa-f]+)(?:-([0-9A-Fa-f]+)|((?:\\.[0-9A-Fa-f]+)*))");

  private final String text;
  private int at;

  private AbnfParser(String text) {
    this.text = text;
  }

  /** One rule; one with {@code =/} gives more choices to a rule. */
  record Rule(String name, boolean more, AbnfNode node) {}

  static List<Rule> rules(String text) {
    List<Rule> rules = new ArrayList<>();
    for (String whole : wholeRules(text)) {
      rules.add(new AbnfParser(whole).rule());
    }
    return rules;
  }

  /** Takes comments away and puts lines that go on, those that begin with a blank, together. */
  private static List<String> wholeRules(String text) {
    List<String> rules = new ArrayList<>();
    for (String line : text.stripIndent().lines().map(AbnfParser::withoutComment).toList()) {
      if (line.isBlank()) {
        continue;
      }
      boolean goesOn = Character.isWhitespace(line.charAt(0));
      if (goesOn && rules.isEmpty()) {
        throw new IllegalArgumentException("a line that goes on, and no rule before it: " + line);
      }
      if (goesOn) {
        int last = rules.size() - 1;
        rules.set(last, rules.get(last) + line);
      } else {
        rules.add(line);
      }
    }
    return rules;
  }

  private static String withoutComment(String line) {
    boolean quoted = false;
    for (int i = 0; i < line.length(); i++) {
      char c = line.charAt(i);
      quoted ^= c == '"';
      if (c == ';' && !quoted) {
        return line.substring(0, i);
      }
    }
    return line;
  }

  private Rule rule() {
    Matcher head = take(HEAD, "a rule name and =");
    AbnfNode node = choice();
    if (at < text.length()) {
      throw wrong("the end of the rule");
    }
    return new Rule(lower(head.group(1)), head.group(2).equals("=/"), node);
  }

  private AbnfNode choice() {
    List<AbnfNode> choices = new ArrayList<>();
    do {
      choices.add(sequence());
    } while (takeIf('/'));
    return choices.size() == 1 ? choices.get(0) : new AbnfNode.Choice(List.copyOf(choices));
  }

  private AbnfNode sequence() {
    List<AbnfNode> parts = new ArrayList<>();
    do {
      parts.add(repetition());
    } while (!atEndOfSequence());
    return parts.size() == 1 ? parts.get(0) : new AbnfNode.Sequence(List.copyOf(parts));
  }

  private boolean atEndOfSequence() {
    skipBlanks();
    return at == text.length() || "/)]".indexOf(text.charAt(at)) >= 0;
  }

  private AbnfNode repetition() {
    skipBlanks();
    Matcher times = take(REPEAT, "an element");
    if (times.group().isEmpty()) {
      return element();
    }
    boolean range = !times.group(2).isEmpty();
    int least = times.group(1).isEmpty() ? 0 : Integer.parseInt(times.group(1));
    int bound =
        times.group(3).isEmpty() ? AbnfNode.Repeat.NO_BOUND : Integer.parseInt(times.group(3));
    int most = range ? bound : least;
    if (least > most) {
      throw wrong("a repetition from less to more");
    }
    return new AbnfNode.Repeat(least, most, element());
  }

  private AbnfNode element() {
    if (at == text.length()) {
      throw wrong("an element");
    }
    if (takeIf('(')) {
      AbnfNode group = choice();
      expect(')');
      return group;
    }
    if (takeIf('[')) {
      AbnfNode option = choice();
      expect(']');
      return new AbnfNode.Repeat(0, 1, option);
    }
    if (text.charAt(at) == '"' || text.regionMatches(true, at, "%s", 0, 2) || startsWithI()) {
      Matcher string = take(STRING, "a string");
      boolean exact = string.group(1) != null && lower(string.group(1)).equals("%s");
      return new AbnfNode.Text(string.group(2), exact);
    }
    return text.charAt(at) == '%'
        ? number(take(NUMBER, "a value"))
        : new AbnfNode.Named(lower(take(NAME, "an element").group()));
  }

  private boolean startsWithI() {
    return text.regionMatches(true, at, "%i", 0, 2);
  }

  private AbnfNode number(Matcher number) {
    int base =
        switch (lower(number.group(1))) {
          case "b" -> 2;
          case "d" -> 10;
          default -> 16;
        };
    int first = character(number.group(2), base);
    if (number.group(3) != null) {
      return new AbnfNode.Range(first, character(number.group(3), base));
    }
    StringBuilder all = new StringBuilder().append((char) first);
    for (String next : number.group(4).split("\\.", -1)) {
      if (!next.isEmpty()) {
        all.append((char) character(next, base));
      }
    }
    return new AbnfNode.Text(all.toString(), true);
  }

  private int character(String digits, int base) {
    int value = Integer.parseInt(digits, base);
    if (value > 0xFF) {
      throw wrong("values up to 255");
    }
    return value;
  }

  private Matcher take(Pattern pattern, String what) {
    Matcher matcher = pattern.matcher(text).region(at, text.length());
    if (!matcher.lookingAt()) {
      throw wrong(what);
    }
    at = matcher.end();
    return matcher;
  }

  private boolean takeIf(char c) {
    skipBlanks();
    boolean here = at < text.length() && text.charAt(at) == c;
    at += here ? 1 : 0;
    return here;
  }

  private void expect(char c) {
    if (!takeIf(c)) {
      throw wrong(String.valueOf(c));
    }
  }

  private void skipBlanks() {
    while (at < text.length() && Character.isWhitespace(text.charAt(at))) {
      at++;
    }
  }

  private IllegalArgumentException wrong(String wanted) {
    return new IllegalArgumentException(
        "no ABNF: expected %s at character %d of: %s".formatted(wanted, at + 1, text));
  }

  private static String lower(String text) {
    return text.toLowerCase(Locale.ROOT);
  }
}
