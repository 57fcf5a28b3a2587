package org.tallywire.api;

/** Bytes arrived that are no message, or no message for now; carries the bytes. */
public final class FrameException extends Exception {

  private final FaultCode code;
  private final byte[] bytes;

  public FrameException(FaultCode code, String message, byte[] bytes) {
    super(message, null, false, false); // expected, and in masses on a bad line: no stack trace
    this.code = code;
    this.bytes = bytes.clone();
  }

  /** Returns the stable name of the fault. */
  public FaultCode code() {
    return code;
  }

  /** Returns the offending bytes, at most the framer's limit of them. */
  public byte[] bytes() {
    return bytes.clone();
  }
}
