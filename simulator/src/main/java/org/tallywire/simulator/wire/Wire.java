package org.tallywire.simulator.wire;

import java.io.IOException;
import java.util.concurrent.locks.LockSupport;

/** The cable side of an instrument; used by one thread. */
public interface Wire extends AutoCloseable {

  /** Opens the wire, or opens it again after {@link #unplug}. */
  void plugIn() throws IOException;

  /**
   * Returns what to connect to: {@code pty /dev/pts/N}, {@code tcp 127.0.0.1:PORT} or {@code serial
   * PORT}.
   */
  String address();

  /** Returns whether somebody could hear what is written now. */
  boolean attached();

  /**
   * Waits for bytes, at most so long.
   *
   * @return how many came, 0 if none in time, −1 if the other side has just gone
   */
  int read(byte[] into, int millis) throws IOException;

  /** Sends and hears at another speed from now on, in baud; nothing on a line without a speed. */
  default void speed(int baud) {}

  /** Lets time pass without listening. */
  default void pass(int millis) {
    LockSupport.parkNanos(millis * 1_000_000L);
  }

  /** Sends bytes; what nobody takes is lost, as on a real line. */
  void write(byte[] bytes, int offset, int length) throws IOException;

  /** Pulls the cable out: the other side sees its port go. */
  void unplug();

  /** Gives everything back; may be called again. */
  @Override
  void close();
}
