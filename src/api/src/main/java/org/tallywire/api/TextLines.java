package org.tallywire.api;

import java.time.Instant;
import java.util.Arrays;

/**
 * A framer for instruments that talk in plain lines: each ends with CR, LF or CR LF, and empty ones
 * are passed over. A line that is too long, or has bytes in it that are neither printable ASCII nor
 * tabulators, is a fault and no frame. Used by one thread.
 */
public final class TextLines implements Framer {

  private static final int SHOWN = 64;

  private final byte[] buffer;
  private int length;
  private boolean tooLong;

  /**
   * @param limit the longest line in bytes, without its end; 1 or more
   */
  public TextLines(int limit) {
    if (limit < 1) {
      throw new IllegalArgumentException("a longest line of %d bytes".formatted(limit));
    }
    this.buffer = new byte[limit];
  }

  @Override
  public int limit() {
    return buffer.length;
  }

  @Override
  public void reset() {
    length = 0;
    tooLong = false;
  }

  @Override
  public void feed(byte[] bytes, int count, Instant receivedAt, Sink sink) {
    for (int i = 0; i < count; i++) {
      if (bytes[i] == '\r' || bytes[i] == '\n') {
        end(receivedAt, sink);
      } else if (length < buffer.length) {
        buffer[length++] = bytes[i];
      } else {
        tooLong = true;
      }
    }
  }

  private void end(Instant receivedAt, Sink sink) {
    byte[] line = Arrays.copyOf(buffer, length);
    if (tooLong) {
      sink.fault(
          new FrameException(
              FaultCode.FRAME_TOO_LONG,
              "a line of more than %d bytes was dropped; this is how it began"
                  .formatted(buffer.length),
              Arrays.copyOf(line, Math.min(SHOWN, length))));
    } else if (length > 0 && isText(line)) {
      sink.frame(new Frame(line, receivedAt));
    } else if (length > 0) {
      sink.fault(
          new FrameException(
              FaultCode.FRAME_NOISE,
              "bytes that are no text: noise, or another speed or parity than the instrument's",
              line));
    }
    reset();
  }

  private static boolean isText(byte[] line) {
    for (byte b : line) {
      if (b != '\t' && (b < ' ' || b > '~')) {
        return false;
      }
    }
    return true;
  }
}
