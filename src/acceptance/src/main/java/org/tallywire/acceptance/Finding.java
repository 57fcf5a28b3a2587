package org.tallywire.acceptance;

import java.util.Set;

/**
 * What a verdict found out beyond its figure.
 *
 * @param phase the phase that stands out: A, B or C, or {@code all} where none does alone
 * @param sentence what is seen, what it may mean, what to do
 */
public record Finding(String phase, String sentence) {

  static final String ALL = "all";

  private static final Set<String> PHASES = Set.of("A", "B", "C", ALL);

  public Finding {
    if (!PHASES.contains(phase)) {
      throw new IllegalArgumentException(
          "a finding is on phase A, B, C or all, not \"%s\"".formatted(phase));
    }
  }
}
