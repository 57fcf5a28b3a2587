package org.tallywire.declared;

import java.util.BitSet;
import java.util.List;

/** A regular expression as its parts. */
sealed interface RegexNode {

  /** One character of a set; the set is of the 65 536 characters of Java. */
  record One(BitSet characters) implements RegexNode {}

  /** One after the other; none at all matches nothing between two characters. */
  record Sequence(List<RegexNode> parts) implements RegexNode {}

  /** The first that leads to a match of the whole. */
  record Choice(List<RegexNode> parts) implements RegexNode {}

  /**
   * A part so many times.
   *
   * @param most -1: without bound
   * @param greedy whether as many as possible are tried first
   */
  record Repeat(RegexNode part, int least, int most, boolean greedy) implements RegexNode {}

  /** A part that is kept under a name. */
  record Named(String name, RegexNode part) implements RegexNode {}

  /** The beginning or the end of the line. */
  record Edge(boolean end) implements RegexNode {}
}
