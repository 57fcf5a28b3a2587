package org.tallywire.acceptance;

import java.util.Locale;
import java.util.Optional;
import java.util.Set;

/**
 * What a verdict found out beyond its figure.
 *
 * @param kind whether it was seen or is only a hint at what may be behind it
 * @param phase the phase that stands out: A, B or C, or {@code all} where none does alone
 * @param sentence what is seen, or what it may mean and what to do
 */
public record Finding(Kind kind, String phase, String sentence) {

  public static final String ALL = "all";

  private static final Set<String> PHASES = Set.of("A", "B", "C", ALL);

  public Finding {
    if (!PHASES.contains(phase)) {
      throw new IllegalArgumentException(
          "a finding is on phase A, B, C or all, not \"%s\"".formatted(phase));
    }
  }

  /** Returns something that follows from the figures or the records. */
  public static Finding seen(String phase, String sentence) {
    return new Finding(Kind.SEEN, phase, sentence);
  }

  static Finding hint(String phase, String sentence) {
    return new Finding(Kind.HINT, phase, sentence);
  }

  /** How much a finding claims. */
  public enum Kind {
    /** Follows from the figures. */
    SEEN,
    /** One explanation of what was seen; there may be others. */
    HINT;

    /** Returns the word for it in records. */
    public String word() {
      return name().toLowerCase(Locale.ROOT);
    }

    /** Returns the kind with the given word, or nothing if there is none. */
    public static Optional<Kind> of(String word) {
      for (Kind kind : values()) {
        if (kind.word().equals(word)) {
          return Optional.of(kind);
        }
      }
      return Optional.empty();
    }
  }
}
