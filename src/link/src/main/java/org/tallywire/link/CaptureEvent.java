package org.tallywire.link;

import java.time.Duration;

/**
 * A piece of what went over a link.
 *
 * @param elapsed since the capture began
 * @param direction which way it went
 * @param bytes at least one
 */
@SuppressWarnings("ArrayRecordComponent") // played and written, never compared
public record CaptureEvent(Duration elapsed, Direction direction, byte[] bytes) {

  public CaptureEvent {
    if (elapsed.isNegative() || bytes.length == 0) {
      throw new IllegalArgumentException("a piece of a capture is not empty, nor before its begin");
    }
  }

  /** The two ways. */
  public enum Direction {
    /** From the instrument to us. */
    CAME('<'),
    /** From us to the instrument. */
    SENT('>');

    private final char mark;

    Direction(char mark) {
      this.mark = mark;
    }

    /** Returns the character that stands for it in a file. */
    public char mark() {
      return mark;
    }
  }
}
