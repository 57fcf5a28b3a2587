package org.tallywire.publish;

import java.io.IOException;

/**
 * Certificates, keys or settings of TLS do not do; trying again is of no use before somebody has
 * changed something. Its message says what is wrong and what to do.
 */
final class TlsException extends IOException {

  private static final long serialVersionUID = 1L;

  TlsException(String message) {
    super(message);
  }

  TlsException(String message, Throwable cause) {
    super(message, cause);
  }
}
