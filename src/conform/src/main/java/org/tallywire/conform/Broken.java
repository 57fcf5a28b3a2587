package org.tallywire.conform;

/** The side under test broke a rule; says which and how, in one sentence. */
final class Broken extends Exception {

  private final String citation;

  /**
   * Makes one.
   *
   * @param citation the rule and letter, for example {@code L-7b}
   * @param sentence what was expected and what was seen instead
   */
  Broken(String citation, String sentence) {
    super(sentence);
    this.citation = citation;
  }

  String citation() {
    return citation;
  }
}
