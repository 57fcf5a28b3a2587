package org.tallywire.acceptance;

/** A reading that cannot be judged: why, without a full stop, and what would let it be judged. */
final class UndecidableException extends Exception {

  private final String next;

  /**
   * Makes one.
   *
   * @param reason why, as the end of a sentence, without a full stop
   * @param next what to do, as a whole sentence
   */
  UndecidableException(String reason, String next) {
    super(reason, null, false, false);
    this.next = next;
  }

  String reason() {
    return String.valueOf(getMessage());
  }

  String next() {
    return next;
  }
}
