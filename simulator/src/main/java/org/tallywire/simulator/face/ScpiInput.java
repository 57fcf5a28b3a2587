package org.tallywire.simulator.face;

import java.nio.charset.StandardCharsets;
import java.util.Optional;

/**
 * Cuts the bytes that come into program messages, each ended by LF (IEEE 488.2, 7.5); a CR before
 * it is white space. No command here takes a block, so LF always ends a message.
 */
final class ScpiInput {

  /** The longest message in bytes, without its LF. */
  static final int LONGEST = 1024;

  private final byte[] buffer = new byte[LONGEST];
  private int count;

  /**
   * A message as it came.
   *
   * @param text one character a byte
   * @param overrun whether it was longer than the buffer; then {@code text} is its beginning
   */
  record Arrived(String text, boolean overrun) {}

  /** Takes one byte; returns the message that it ended, if it did. */
  Optional<Arrived> take(byte b) {
    if (b != '\n') {
      if (count < LONGEST) {
        buffer[count] = b;
      }
      count = Math.min(count + 1, LONGEST + 1);
      return Optional.empty();
    }
    boolean overrun = count > LONGEST;
    String text = new String(buffer, 0, Math.min(count, LONGEST), StandardCharsets.ISO_8859_1);
    count = 0;
    return Optional.of(new Arrived(text, overrun));
  }

  /** Forgets a message begun but not ended. */
  void forget() {
    count = 0;
  }
}
