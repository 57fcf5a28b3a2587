package org.tallywire.acceptance.winding;

/**
 * A clip of an instrument's lead, with letters and a shape of its own, so that no picture depends
 * on colours: what feeds is square, what senses is round.
 */
public enum Clip {
  EXCITING_PLUS("E+", "exciting +"),
  EXCITING_MINUS("E-", "exciting -"),
  MEASURING_PLUS("M+", "measuring +"),
  MEASURING_MINUS("M-", "measuring -"),
  CURRENT_PLUS("C+", "current +"),
  CURRENT_MINUS("C-", "current -"),
  POTENTIAL_PLUS("P+", "potential +"),
  POTENTIAL_MINUS("P-", "potential -");

  private final String letters;
  private final String words;

  Clip(String letters, String words) {
    this.letters = letters;
    this.words = words;
  }

  /** Returns two characters, for example {@code E+}. */
  public String letters() {
    return letters;
  }

  /** Returns for example {@code exciting +}. */
  public String words() {
    return words;
  }

  /** Tells whether it feeds the winding, or else senses its voltage. */
  boolean feeds() {
    return switch (this) {
      case EXCITING_PLUS, EXCITING_MINUS, CURRENT_PLUS, CURRENT_MINUS -> true;
      default -> false;
    };
  }

  boolean plus() {
    return letters.endsWith("+");
  }
}
