package org.tallywire.conform;

import java.io.ByteArrayOutputStream;
import java.time.Duration;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Link;
import org.tallywire.api.LinkException;
import org.tallywire.kit.ManualTime;

/**
 * A link to a counterpart in the same thread and in virtual time: reading lets the counterpart act
 * and time pass until it has said something or the wait is over.
 */
final class VirtualLink implements Link {

  private final ManualTime time;
  private final Counterpart counterpart;
  private final ByteArrayOutputStream arriving = new ByteArrayOutputStream();
  private boolean closed;

  VirtualLink(ManualTime time, Counterpart counterpart) {
    this.time = time;
    this.counterpart = counterpart;
  }

  /** The other side: a state machine without threads. */
  interface Counterpart {

    /** Takes bytes. */
    void receive(byte[] bytes);

    /** Does what is due now; says bytes to the given ear; returns false if it closed the link. */
    boolean act(ByteArrayOutputStream ear);

    /** Returns when it is next due, as {@code TimeSource.nanos()}. */
    long nextDue();
  }

  @Override
  public int read(byte[] buffer, Duration wait) throws LinkException {
    long deadline = time.nanos() + wait.toNanos();
    while (true) {
      if (closed) {
        throw new LinkException(FaultCode.LINK_LOST, "the other side closed the link");
      }
      closed = !counterpart.act(arriving);
      if (arriving.size() > 0) {
        return take(buffer);
      }
      long left = deadline - time.nanos();
      if (left <= 0) {
        return 0;
      }
      long next = counterpart.nextDue();
      long step = next == Long.MAX_VALUE ? left : Math.min(left, next - time.nanos());
      time.pass(Duration.ofNanos(Math.max(1, step)));
    }
  }

  private int take(byte[] buffer) {
    byte[] bytes = arriving.toByteArray();
    int count = Math.min(bytes.length, buffer.length);
    System.arraycopy(bytes, 0, buffer, 0, count);
    arriving.reset();
    arriving.write(bytes, count, bytes.length - count);
    return count;
  }

  @Override
  public void write(byte[] bytes) throws LinkException {
    if (closed) {
      throw new LinkException(FaultCode.LINK_LOST, "the other side closed the link");
    }
    counterpart.receive(bytes);
  }

  @Override
  public void close() {
    closed = true;
  }
}
