package org.tallywire.acceptance;

/**
 * How many rounds a random test makes: the usual number times the system property {@code
 * tallywire.rounds}, which is 1 unless given.
 */
public final class Rounds {

  private static final double TIMES =
      Double.parseDouble(System.getProperty("tallywire.rounds", "1"));

  private Rounds() {}

  /** Returns the usual number, made greater or smaller; one at least. */
  public static int of(int usual) {
    return (int) Math.max(1, Math.round(usual * TIMES));
  }
}
