package org.tallywire.acceptance;

import java.util.Locale;
import java.util.Optional;

/**
 * Where a limit comes from and how sure that is.
 *
 * @param text the rule in one sentence
 * @param source standard and clause, or who says so
 * @param certainty whether anybody of this project has read it there
 */
public record Rule(String text, String source, Certainty certainty) {

  /** How a rule is known. */
  public enum Certainty {
    /** Read in the named source. */
    FOUND,
    /** Recalled from the named source, whose text was not at hand. */
    MEMORY,
    /** Follows by arithmetic or circuit theory. */
    DERIVED,
    /** Common practice, no source. */
    PRACTICE;

    /** Returns the word for it in records and criteria files. */
    public String word() {
      return name().toLowerCase(Locale.ROOT);
    }

    /** Returns the certainty with the given word, or nothing if there is none. */
    public static Optional<Certainty> of(String word) {
      for (Certainty certainty : values()) {
        if (certainty.word().equals(word)) {
          return Optional.of(certainty);
        }
      }
      return Optional.empty();
    }
  }
}
