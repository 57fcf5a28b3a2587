package org.tallywire.kit;

import java.util.LinkedHashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Set;
import java.util.TreeSet;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * A grammar in ABNF (RFC 5234, with the case-sensitive strings of RFC 7405): its rules by name, the
 * core rules of RFC 5234 appendix B among them. Names of rules are in lower case, since case does
 * not matter in them. Prose values are not known. Immutable.
 */
public final class Abnf {

  private static final Pattern BLOCK = Pattern.compile("(?ms)^```abnf\\n(.*?)^```");

  private static final String CORE =
      """
      ALPHA  = %x41-5A / %x61-7A
      BIT    = "0" / "1"
      CHAR   = %x01-7F
      CR     = %x0D
      CRLF   = CR LF
      CTL    = %x00-1F / %x7F
      DIGIT  = %x30-39
      DQUOTE = %x22
      HEXDIG = DIGIT / "A" / "B" / "C" / "D" / "E" / "F"
      HTAB   = %x09
      LF     = %x0A
      LWSP   = *(WSP / CRLF WSP)
      OCTET  = %x00-FF
      SP     = %x20
      VCHAR  = %x21-7E
      WSP    = SP / HTAB
      """;

  private final Map<String, AbnfNode> rules = new LinkedHashMap<>();

  private Abnf() {}

  /**
   * Reads a grammar.
   *
   * @throws IllegalArgumentException if it is not ABNF, gives a rule twice, or names one that it
   *     does not give
   */
  public static Abnf of(String text) {
    Abnf grammar = new Abnf();
    grammar.add(CORE);
    Set<String> core = Set.copyOf(grammar.rules.keySet());
    grammar.add(text);
    if (grammar.rules.size() == core.size()) {
      throw new IllegalArgumentException("a grammar without a rule");
    }
    Set<String> missing = new TreeSet<>();
    grammar.rules.values().forEach(node -> grammar.collectMissing(node, missing));
    if (!missing.isEmpty()) {
      throw new IllegalArgumentException("rules that are named and not given: " + missing);
    }
    return grammar;
  }

  /** Reads the grammar in the one fenced block of a Markdown page that is marked as ABNF. */
  public static Abnf ofPage(String markdown) {
    Matcher block = BLOCK.matcher(markdown);
    if (!block.find()) {
      throw new IllegalArgumentException("the page has no block of ABNF");
    }
    String text = block.group(1);
    if (block.find()) {
      throw new IllegalArgumentException("the page has more than one block of ABNF");
    }
    return of(text);
  }

  /** Returns what a rule stands for. */
  AbnfNode rule(String name) {
    AbnfNode node = rules.get(name.toLowerCase(Locale.ROOT));
    if (node == null) {
      throw new IllegalArgumentException("there is no rule " + name);
    }
    return node;
  }

  /** Returns all rules by name. */
  Map<String, AbnfNode> rules() {
    return rules;
  }

  private void add(String text) {
    for (AbnfParser.Rule rule : AbnfParser.rules(text)) {
      AbnfNode before = rules.get(rule.name());
      if (rule.more() != (before != null)) {
        throw new IllegalArgumentException(
            "rule %s is given %s"
                .formatted(rule.name(), rule.more() ? "by =/ before it is given" : "twice"));
      }
      AbnfNode whole =
          before == null ? rule.node() : new AbnfNode.Choice(List.of(before, rule.node()));
      rules.put(rule.name(), whole);
    }
  }

  private void collectMissing(AbnfNode node, Set<String> missing) {
    if (node instanceof AbnfNode.Named named && !rules.containsKey(named.rule())) {
      missing.add(named.rule());
    }
    node.parts().forEach(part -> collectMissing(part, missing));
  }
}
