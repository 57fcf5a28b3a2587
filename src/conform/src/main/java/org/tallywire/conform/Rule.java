package org.tallywire.conform;

import java.io.IOException;
import java.io.InputStream;
import java.io.UncheckedIOException;
import java.nio.charset.StandardCharsets;
import java.util.List;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * A rule of the line protocol as appendix B of {@code shared/protocol.md} lists it.
 *
 * @param id {@code L-1} and so on
 * @param title a few words
 * @param instrument {@code checked…}, or why it cannot be, or {@code –} where it does not bind one
 * @param bridge likewise
 */
record Rule(String id, String title, String instrument, String bridge) {

  private static final String DOES_NOT_BIND = "–";
  private static final Pattern ROW =
      Pattern.compile("(?m)^\\| (L-[0-9]+) \\| ([^|]+) \\| ([^|]+) \\| ([^|]+) \\|$");

  /** Which side of the line is under test. */
  enum Side {
    INSTRUMENT,
    BRIDGE
  }

  /** Returns the id of the rule that a citation names, with a letter or without. */
  static String idOf(String citation) {
    return citation.replaceAll("[a-z]$", "");
  }

  /** Returns how the rule is checked on that side, or why not. */
  String how(Side side) {
    return side == Side.INSTRUMENT ? instrument : bridge;
  }

  boolean binds(Side side) {
    return !how(side).equals(DOES_NOT_BIND);
  }

  /** Returns the rules that bind a side, in the order of the page. */
  static List<Rule> of(Side side) {
    return all().stream().filter(rule -> rule.binds(side)).toList();
  }

  static List<Rule> all() {
    try (InputStream page = Rule.class.getResourceAsStream("protocol.md")) {
      if (page == null) {
        throw new IllegalStateException("the jar lacks protocol.md");
      }
      Matcher row = ROW.matcher(new String(page.readAllBytes(), StandardCharsets.UTF_8));
      return row.results()
          .map(r -> new Rule(r.group(1), r.group(2), r.group(3), r.group(4)))
          .toList();
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }
}
