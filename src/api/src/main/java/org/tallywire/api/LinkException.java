package org.tallywire.api;

import java.io.IOException;

/** A link could not be opened, read or written; its code says why, its message what to do. */
public final class LinkException extends IOException {

  private final FaultCode code;

  public LinkException(FaultCode code, String message) {
    super(message);
    this.code = code;
  }

  public LinkException(FaultCode code, String message, Throwable cause) {
    super(message, cause);
    this.code = code;
  }

  /** Returns the stable name of the fault. */
  public FaultCode code() {
    return code;
  }
}
