package org.tallywire.kit;

import java.util.List;

/** A part of an ABNF grammar: what a text may be made of. */
sealed interface AbnfNode {

  /** Returns the parts it is put together from. */
  default List<AbnfNode> parts() {
    return List.of();
  }

  /** One character out of a range, as {@code %x30-37}. */
  record Range(int from, int to) implements AbnfNode {}

  /** A string; of either case unless exact, as {@code %s"C"} is. */
  record Text(String text, boolean exact) implements AbnfNode {}

  /** One after the other. */
  record Sequence(@Override List<AbnfNode> parts) implements AbnfNode {}

  /** One of them. */
  record Choice(@Override List<AbnfNode> parts) implements AbnfNode {}

  /** The same part again and again, from least to most times. */
  record Repeat(int least, int most, AbnfNode part) implements AbnfNode {

    /** Stands for no bound. */
    static final int NO_BOUND = Integer.MAX_VALUE;

    @Override
    public List<AbnfNode> parts() {
      return List.of(part);
    }
  }

  /** Whatever the rule of that name stands for. */
  record Named(String rule) implements AbnfNode {}
}
