package org.tallywire.api;

import java.nio.charset.StandardCharsets;
import java.time.Instant;

/**
 * One whole message as it came over a link, without its terminator.
 *
 * @param bytes not to be changed by anybody
 * @param receivedAt when its last byte arrived
 */
@SuppressWarnings("ArrayRecordComponent") // frames are handed on, never compared
public record Frame(byte[] bytes, Instant receivedAt) {

  /** Returns the bytes as text, one character a byte, so that nothing is lost or replaced. */
  public String text() {
    return new String(bytes, StandardCharsets.ISO_8859_1);
  }
}
