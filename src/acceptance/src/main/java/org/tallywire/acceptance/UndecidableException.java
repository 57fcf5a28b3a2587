package org.tallywire.acceptance;

/** A reading that cannot be judged; the message says why and what to do, without a full stop. */
final class UndecidableException extends Exception {

  UndecidableException(String message) {
    super(message, null, false, false);
  }
}
