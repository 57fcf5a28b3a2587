package org.tallywire.kit;

import java.util.ArrayList;
import java.util.BitSet;
import java.util.Collections;
import java.util.HashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import org.jspecify.annotations.Nullable;

/**
 * Tells whether a text can be derived from a rule of an ABNF grammar, by following all derivations
 * at once. It takes every grammar but one that is left-recursive. Not for several threads.
 */
public final class AbnfRecogniser {

  private final Abnf grammar;
  private final Map<String, Known> byRule = new HashMap<>();
  private String text = "";

  /** Makes a recogniser. */
  public AbnfRecogniser(Abnf grammar) {
    this.grammar = grammar;
  }

  /** What is known of a rule: where it ends, by where it begins. */
  private static final class Known {

    private final AbnfNode node;
    private final List<@Nullable BitSet> ends;
    private final BitSet begun = new BitSet();

    Known(AbnfNode node, String text) {
      this.node = node;
      this.ends = new ArrayList<>(Collections.nCopies(text.length() + 1, null));
    }
  }

  /**
   * Tells whether all of the text, one character a byte, can be derived from the rule.
   *
   * @throws IllegalArgumentException if a rule begins with itself
   */
  public boolean matches(String rule, String whole) {
    byRule.clear();
    text = whole;
    BitSet ends = endsOfRule(rule.toLowerCase(Locale.ROOT), 0);
    return ends.get(text.length());
  }

  private BitSet endsOfRule(String rule, int at) {
    Known known = byRule.computeIfAbsent(rule, name -> new Known(grammar.rule(name), text));
    BitSet ends = known.ends.get(at);
    if (ends == null) {
      if (known.begun.get(at)) {
        throw new IllegalArgumentException("the rule " + rule + " begins with itself");
      }
      known.begun.set(at);
      BitSet start = new BitSet();
      start.set(at);
      ends = ends(known.node, start);
      known.ends.set(at, ends);
    }
    return ends;
  }

  /** Returns where a part may end that begins at one of the starts. */
  private BitSet ends(AbnfNode node, BitSet starts) {
    BitSet ends = new BitSet();
    if (node instanceof AbnfNode.Repeat repeat) {
      ends.or(repeated(repeat, starts));
    } else if (node instanceof AbnfNode.Sequence sequence) {
      ends.or(starts);
      for (AbnfNode part : sequence.parts()) {
        ends = ends(part, ends);
      }
    } else if (node instanceof AbnfNode.Choice choice) {
      for (AbnfNode part : choice.parts()) {
        ends.or(ends(part, starts));
      }
    } else {
      for (int at = starts.nextSetBit(0); at >= 0; at = starts.nextSetBit(at + 1)) {
        addEnds(node, at, ends);
      }
    }
    return ends;
  }

  private void addEnds(AbnfNode node, int at, BitSet ends) {
    if (node instanceof AbnfNode.Named named) {
      ends.or(endsOfRule(named.rule(), at));
    } else if (node instanceof AbnfNode.Range range) {
      boolean fits =
          at < text.length() && text.charAt(at) >= range.from() && text.charAt(at) <= range.to();
      ends.set(at + 1, fits || ends.get(at + 1));
    } else if (node instanceof AbnfNode.Text string) {
      int length = string.text().length();
      boolean fits = text.regionMatches(!string.exact(), at, string.text(), 0, length);
      ends.set(at + length, fits || ends.get(at + length));
    }
  }

  private BitSet repeated(AbnfNode.Repeat repeat, BitSet starts) {
    BitSet newest = (BitSet) starts.clone();
    for (int i = 0; i < repeat.least() && !newest.isEmpty(); i++) {
      newest = ends(repeat.part(), newest);
    }
    BitSet all = (BitSet) newest.clone();
    for (int i = repeat.least(); i < repeat.most() && !newest.isEmpty(); i++) {
      newest = ends(repeat.part(), newest);
      newest.andNot(all);
      all.or(newest);
    }
    return all;
  }
}
