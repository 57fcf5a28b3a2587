package org.tallywire.api;

/**
 * A conversation with one instrument over one open link: turns frames into readings and says what
 * to send. A state machine without input or output of its own: it acts only through the {@link
 * SessionHost} it was opened with, so that it runs in virtual time. Used by one thread.
 */
public interface Session {

  /** Begins the conversation, when the link has just been opened. */
  void start() throws LinkException;

  /**
   * Takes the next frame.
   *
   * @throws FrameException if it is no message, or no message for now; the session stays usable
   *     unless the code is {@link FaultCode#VERSION_REFUSED} or {@link FaultCode#CONTRADICTION}
   */
  void frame(Frame frame) throws FrameException, LinkException;

  /** Takes note that every reading and gap given to the host so far is on disk. */
  void durable() throws LinkException;

  /** Does what is due at the current time: heart-beats, repeats of requests, time-outs. */
  void tick() throws LinkException;

  /** Returns the elapsed time, as {@link TimeSource#nanos}, at which {@link #tick} is next due. */
  long nextTick();
}
