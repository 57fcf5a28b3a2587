package org.tallywire.publish;

/** Makes text that somebody else wrote fit to stand in a sentence or a log. */
final class Shown {

  private static final int LONGEST = 200;

  private Shown() {}

  /** Replaces control characters and those that turn the direction, and cuts what is too long. */
  static String text(String text) {
    String plain = text.replaceAll("[\\p{Cntrl}\\p{Cf}\\u2028\\u2029]", "?");
    return plain.length() <= LONGEST ? plain : plain.substring(0, LONGEST) + "…";
  }
}
