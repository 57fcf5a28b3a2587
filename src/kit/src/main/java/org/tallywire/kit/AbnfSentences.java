package org.tallywire.kit;

import java.util.ArrayList;
import java.util.HashMap;
import java.util.List;
import java.util.Locale;
import java.util.Map;
import java.util.Random;

/**
 * Draws random sentences from an ABNF grammar, with what each part of them was derived from, so
 * that a test knows what a parser must make of them. The same seed gives the same sentences. Not
 * for several threads.
 */
public final class AbnfSentences {

  private static final int DEEPEST = 40;
  private static final int NEVER = Integer.MAX_VALUE / 2;

  private final Abnf grammar;
  private final Random random;
  private final Map<String, Integer> heights = new HashMap<>();

  /** Makes a source of sentences. */
  public AbnfSentences(Abnf grammar, long seed) {
    this.grammar = grammar;
    this.random = new Random(seed);
    computeHeights();
  }

  /**
   * A part of a sentence.
   *
   * @param rule the rule it was derived from, in lower case
   * @param from where it begins
   * @param to where it ends, exclusive
   */
  public record Span(String rule, int from, int to) {}

  /**
   * A sentence, one character a byte.
   *
   * @param text all of it
   * @param spans what was derived from which rule, outer before inner, first before next
   */
  public record Sentence(String text, List<Span> spans) {

    /** Returns the spans of a rule, in the order of the text. */
    public List<Span> of(String rule) {
      String name = rule.toLowerCase(Locale.ROOT);
      return spans.stream().filter(span -> span.rule().equals(name)).toList();
    }

    /** Returns the text of a span. */
    public String text(Span span) {
      return text.substring(span.from(), span.to());
    }

    /** Returns the texts of a rule, in order. */
    public List<String> texts(String rule) {
      return of(rule).stream().map(this::text).toList();
    }
  }

  /**
   * Draws the next sentence of a rule.
   *
   * @param enough the length from which on nothing is added that could be left out
   */
  public Sentence next(String rule, int enough) {
    String name = rule.toLowerCase(Locale.ROOT);
    grammar.rule(name);
    if (height(new AbnfNode.Named(name)) >= NEVER) {
      throw new IllegalArgumentException("no sentence of " + rule + " ever ends");
    }
    Drawing drawing = new Drawing(enough);
    drawing.add(new AbnfNode.Named(name), 0);
    return new Sentence(drawing.text.toString(), List.copyOf(drawing.spans));
  }

  /** One sentence while it grows. */
  private final class Drawing {

    private final int enough;
    private final StringBuilder text = new StringBuilder();
    private final List<Span> spans = new ArrayList<>();

    Drawing(int enough) {
      this.enough = enough;
    }

    void add(AbnfNode node, int depth) {
      if (node instanceof AbnfNode.Range range) {
        text.append((char) (range.from() + random.nextInt(range.to() - range.from() + 1)));
      } else if (node instanceof AbnfNode.Text string) {
        string.text().chars().forEach(c -> text.append(string.exact() ? (char) c : anyCase(c)));
      } else if (node instanceof AbnfNode.Sequence sequence) {
        sequence.parts().forEach(part -> add(part, depth + 1));
      } else if (node instanceof AbnfNode.Choice choice) {
        add(chosen(choice, depth), depth + 1);
      } else if (node instanceof AbnfNode.Repeat repeat) {
        repeat(repeat, depth);
      } else if (node instanceof AbnfNode.Named named) {
        named(named, depth);
      }
    }

    private void named(AbnfNode.Named named, int depth) {
      int place = spans.size();
      int from = text.length();
      spans.add(new Span(named.rule(), from, from));
      add(grammar.rule(named.rule()), depth + 1);
      spans.set(place, new Span(named.rule(), from, text.length()));
    }

    private boolean isEnough(int depth) {
      return depth > DEEPEST || text.length() >= enough;
    }

    private AbnfNode chosen(AbnfNode.Choice choice, int depth) {
      List<AbnfNode> parts = choice.parts();
      if (isEnough(depth)) {
        int least = parts.stream().mapToInt(AbnfSentences.this::height).min().orElseThrow();
        return parts.stream().filter(part -> height(part) == least).findFirst().orElseThrow();
      }
      List<AbnfNode> ending = parts.stream().filter(part -> height(part) < NEVER).toList();
      return ending.get(random.nextInt(ending.size()));
    }

    private void repeat(AbnfNode.Repeat repeat, int depth) {
      int wanted = times(repeat);
      for (int i = 0; i < wanted && (i < repeat.least() || !isEnough(depth)); i++) {
        add(repeat.part(), depth + 1);
      }
    }

    /** Few times mostly, seldom many, and now and then exactly the least or the most. */
    private int times(AbnfNode.Repeat repeat) {
      if (height(repeat.part()) >= NEVER) {
        return repeat.least();
      }
      boolean bounded = repeat.most() != AbnfNode.Repeat.NO_BOUND;
      int kind = random.nextInt(20);
      if (kind == 0) {
        return repeat.least();
      }
      if (kind == 1 && bounded) {
        return repeat.most();
      }
      double again = kind == 2 ? 0.97 : 0.8;
      int times = repeat.least();
      while (times < repeat.most() && random.nextDouble() < again) {
        times++;
      }
      return times;
    }
  }

  private char anyCase(int c) {
    String letter = String.valueOf((char) c);
    boolean upper = random.nextBoolean();
    return (upper ? letter.toUpperCase(Locale.ROOT) : letter.toLowerCase(Locale.ROOT)).charAt(0);
  }

  /** How deep the least deep derivation of each rule is, so that a sentence can be ended. */
  private void computeHeights() {
    boolean changed = true;
    while (changed) {
      changed = false;
      for (Map.Entry<String, AbnfNode> rule : grammar.rules().entrySet()) {
        int now = height(rule.getValue());
        Integer before = heights.put(rule.getKey(), now);
        changed |= before == null || before != now;
      }
    }
  }

  private int height(AbnfNode node) {
    if (node instanceof AbnfNode.Named named) {
      return Math.min(NEVER, heights.getOrDefault(named.rule(), NEVER) + 1);
    }
    if (node instanceof AbnfNode.Choice choice) {
      return choice.parts().stream().mapToInt(this::height).min().orElseThrow();
    }
    if (node instanceof AbnfNode.Repeat repeat) {
      return repeat.least() == 0 ? 0 : height(repeat.part());
    }
    return node.parts().stream().mapToInt(this::height).max().orElse(0);
  }
}
