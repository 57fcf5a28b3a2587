package org.tallywire.declared;

import java.util.ArrayList;
import java.util.BitSet;
import java.util.LinkedHashSet;
import java.util.List;
import java.util.Set;

/**
 * Reads a regular expression: characters, {@code .}, classes {@code [a-z]}, {@code \d \w \s},
 * groups with and without name, {@code |}, {@code ? * + {n} {n,m}} and their reluctant forms,
 * {@code ^} and {@code $}. What cannot be matched in a time that grows with the line alone (back
 * references, looking ahead) is refused.
 */
final class RegexParser {

  private static final int ALL = 0x10000;
  private static final int MOST_TIMES = 200;
  private static final int DEEPEST = 20;
  private static final String SPECIAL = "\\.[]{}()*+-?^$|/\"' #,:;=!<>@%&~`_";

  private final String text;
  private final Set<String> names = new LinkedHashSet<>();
  private int at;
  private int depth;

  RegexParser(String text) {
    this.text = text;
  }

  RegexNode parse() throws RegexSyntaxException {
    RegexNode whole = choice();
    if (at < text.length()) {
      throw wrong("a ) that closes nothing; write \\)");
    }
    return whole;
  }

  /** Returns the names of groups, in their order. */
  List<String> names() {
    return List.copyOf(names);
  }

  private RegexNode choice() throws RegexSyntaxException {
    if (++depth > DEEPEST) {
      throw wrong("more than %d groups inside each other; write it flatter".formatted(DEEPEST));
    }
    List<RegexNode> parts = new ArrayList<>(List.of(sequence()));
    while (skip('|')) {
      parts.add(sequence());
    }
    depth--;
    return parts.size() == 1 ? parts.get(0) : new RegexNode.Choice(parts);
  }

  private RegexNode sequence() throws RegexSyntaxException {
    List<RegexNode> parts = new ArrayList<>();
    while (at < text.length() && peek() != '|' && peek() != ')') {
      parts.add(repeated(atom()));
    }
    return new RegexNode.Sequence(parts);
  }

  private RegexNode repeated(RegexNode atom) throws RegexSyntaxException {
    if (at == text.length() || "?*+{".indexOf(peek()) < 0) {
      return atom;
    }
    int least = 0;
    int most = -1;
    switch (text.charAt(at++)) {
      case '?' -> most = 1;
      case '+' -> least = 1;
      case '{' -> {
        least = number();
        most = least;
        if (skip(',')) {
          most = peekIs('}') ? -1 : number();
        }
        if (!skip('}') || (most >= 0 && most < least)) {
          throw wrong("a count that is none; write {3} or {1,6}, or \\{ for the character");
        }
      }
      default -> {}
    }
    boolean greedy = !skip('?');
    if (at < text.length() && "*+?{".indexOf(peek()) >= 0) {
      throw wrong("a repetition of a repetition; put the first one in (?: )");
    }
    if (atom instanceof RegexNode.Edge) {
      throw wrong("a repetition of ^ or $; leave it out");
    }
    return new RegexNode.Repeat(atom, least, most, greedy);
  }

  private int number() throws RegexSyntaxException {
    int from = at;
    while (at < text.length() && Character.isDigit(peek()) && at - from < 4) {
      at++;
    }
    int number = at == from ? -1 : Integer.parseInt(text.substring(from, at));
    if (number < 0 || number > MOST_TIMES) {
      throw wrong("a count that is not 0 to %d; write {3} or {1,6}".formatted(MOST_TIMES));
    }
    return number;
  }

  private RegexNode atom() throws RegexSyntaxException {
    char c = text.charAt(at++);
    return switch (c) {
      case '(' -> group();
      case '[' -> new RegexNode.One(set());
      case '.' -> new RegexNode.One(inverted(new BitSet()));
      case '^' -> new RegexNode.Edge(false);
      case '$' -> new RegexNode.Edge(true);
      case '\\' -> new RegexNode.One(escape());
      case '*', '+', '?', '{' ->
          throw wrong("a %s with nothing before it to repeat; write \\%s".formatted(c, c));
      default -> new RegexNode.One(single(c));
    };
  }

  private RegexNode group() throws RegexSyntaxException {
    String name = "";
    if (skip('?')) {
      if (skip('<')) {
        int end = text.indexOf('>', at);
        name = end < 0 ? "" : text.substring(at, end);
        if (!Fields.NAME.matcher(name).matches()) {
          throw wrong(
              "a group that cannot be: its name is to be %s, and looking behind is not possible"
                  .formatted(Fields.NAME_IN_WORDS));
        }
        if (!names.add(name)) {
          throw wrong("a second group named %s; give it another name".formatted(name));
        }
        at = end + 1;
      } else if (!skip(':')) {
        throw wrong("(? that is neither (?<name> nor (?: here; looking ahead is not possible");
      }
    }
    RegexNode inside = choice();
    if (!skip(')')) {
      throw wrong("a ( that is not closed; write ) or \\(");
    }
    return name.isEmpty() ? inside : new RegexNode.Named(name, inside);
  }

  private BitSet set() throws RegexSyntaxException {
    boolean not = skip('^');
    BitSet set = new BitSet();
    boolean first = true;
    while (at < text.length() && (first || peek() != ']')) {
      first = false;
      char c = text.charAt(at++);
      if (c == '[' || c == '&') {
        throw wrong("a %s inside [ ]; write \\%s".formatted(c, c));
      }
      BitSet from = c == '\\' ? escape() : single(c);
      boolean range = peekIs('-') && at + 1 < text.length() && text.charAt(at + 1) != ']';
      if (range && from.cardinality() == 1) {
        at++;
        char last = text.charAt(at++);
        BitSet to = last == '\\' ? escape() : single(last);
        if (to.cardinality() != 1 || to.nextSetBit(0) < from.nextSetBit(0)) {
          throw wrong("a range in [ ] that runs backwards; write [0-9]");
        }
        from.set(from.nextSetBit(0), to.nextSetBit(0) + 1);
      }
      set.or(from);
    }
    if (!skip(']')) {
      throw wrong("a [ that is not closed; write ] or \\[");
    }
    return not ? inverted(set) : set;
  }

  private BitSet escape() throws RegexSyntaxException {
    if (at == text.length()) {
      throw wrong("a \\ with nothing behind it; write \\\\");
    }
    char c = text.charAt(at++);
    return switch (c) {
      case 'd' -> range('0', '9');
      case 'D' -> inverted(range('0', '9'));
      case 'w' -> word();
      case 'W' -> inverted(word());
      case 's' -> blanks();
      case 'S' -> inverted(blanks());
      case 't' -> single('\t');
      case 'x' -> {
        byte[] one =
            Bytes.read("\\x" + text.substring(at, Math.min(at + 2, text.length())))
                .orElseThrow(() -> wrong("a \\x without two hexadecimal digits; write \\x1B"));
        at += 2;
        yield single((char) (one[0] & 0xFF));
      }
      default -> {
        if (SPECIAL.indexOf(c) < 0) {
          throw wrong(
              "\\%s, which is not possible; there are \\d \\w \\s \\D \\W \\S \\t \\x00 and \\ before a"
                      .formatted(c)
                  + " sign");
        }
        yield single(c);
      }
    };
  }

  private static BitSet word() {
    BitSet set = range('0', '9');
    set.or(range('A', 'Z'));
    set.or(range('a', 'z'));
    set.set('_');
    return set;
  }

  private static BitSet blanks() {
    BitSet set = single(' ');
    set.set('\t', '\r' + 1);
    return set;
  }

  private static BitSet range(char from, char to) {
    BitSet set = new BitSet();
    set.set(from, to + 1);
    return set;
  }

  private static BitSet single(char c) {
    return range(c, c);
  }

  private static BitSet inverted(BitSet set) {
    BitSet other = (BitSet) set.clone();
    other.flip(0, ALL);
    return other;
  }

  private char peek() {
    return text.charAt(at);
  }

  private boolean peekIs(char c) {
    return at < text.length() && peek() == c;
  }

  private boolean skip(char c) {
    if (peekIs(c)) {
      at++;
      return true;
    }
    return false;
  }

  private RegexSyntaxException wrong(String what) {
    return new RegexSyntaxException("has, up to its character %d, %s".formatted(at, what));
  }
}
