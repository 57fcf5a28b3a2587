package org.tallywire.format;

/** Bytes are no record of the expected kind; the message says which member is at fault. */
public final class FormatException extends Exception {

  FormatException(String message) {
    super(message);
  }

  public FormatException(String message, Throwable cause) {
    super(message, cause);
  }
}
