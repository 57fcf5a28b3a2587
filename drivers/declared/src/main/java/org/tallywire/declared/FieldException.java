package org.tallywire.declared;

import org.tallywire.api.FaultCode;

/** A field of a line is not what its file says it is; the message says which and what. */
final class FieldException extends Exception {

  private final FaultCode code;

  FieldException(String message) {
    this(FaultCode.FRAME_SYNTAX, message);
  }

  FieldException(FaultCode code, String message) {
    super(message, null, false, false); // expected on a bad line: no stack trace
    this.code = code;
  }

  FaultCode code() {
    return code;
  }
}
