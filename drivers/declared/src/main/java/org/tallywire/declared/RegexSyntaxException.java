package org.tallywire.declared;

/**
 * A text is no regular expression that can be bounded; the message says where and what to write.
 */
final class RegexSyntaxException extends Exception {

  RegexSyntaxException(String message) {
    super(message, null, false, false);
  }
}
