package org.tallywire.api;

import java.time.Duration;

/**
 * An open two-way byte path. One thread reads and writes; {@link #close} may come from any thread
 * and frees a blocked reader.
 */
public interface Link extends AutoCloseable {

  /**
   * Waits until the other side has got over the opening, which may have reset it; what arrives
   * until then is no data and is dropped. Called once, before the first read or write; where there
   * is nothing to wait for it returns at once.
   *
   * @throws LinkException with {@link FaultCode#LINK_LOST} if the link is gone or closed meanwhile
   */
  default void settle() throws LinkException {}

  /**
   * Reads what has arrived, waiting at most the given time for the first byte.
   *
   * @return how many bytes were put into the buffer from its start; 0 if the time ran out
   * @throws LinkException with {@link FaultCode#LINK_LOST} if the link is gone or closed
   */
  int read(byte[] buffer, Duration wait) throws LinkException;

  /**
   * Writes all the bytes, in a time bounded by the implementation.
   *
   * @throws LinkException with {@link FaultCode#LINK_LOST} if they could not be written
   */
  void write(byte[] bytes) throws LinkException;

  /**
   * Goes on at another speed; where there is no line with a speed it does nothing. What was written
   * before should have gone out.
   *
   * @throws LinkException with {@link FaultCode#LINK_LOST} if the line does not take that speed
   */
  default void speed(int baud) throws LinkException {}

  /** Closes in a bounded time; a second call does nothing. */
  @Override
  void close();
}
