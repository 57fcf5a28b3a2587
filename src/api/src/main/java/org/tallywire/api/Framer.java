package org.tallywire.api;

import java.time.Instant;

/**
 * Takes bytes as they come and yields whole frames, never more than its stated limit. Knows nothing
 * of what a frame means. Used by one thread.
 */
public interface Framer {

  /** Returns the longest frame, in bytes without terminator; a longer one becomes a fault. */
  int limit();

  /** Takes bytes and yields, in order, every frame and fault that they complete. */
  void feed(byte[] bytes, int length, Instant receivedAt, Sink sink);

  /** Forgets a frame begun but not ended, as after a link was opened again. */
  void reset();

  /** Where a framer puts what it cut. */
  interface Sink {

    /** Takes a whole frame. */
    void frame(Frame frame);

    /** Takes a fault: bytes that were discarded. */
    void fault(FrameException fault);
  }
}
