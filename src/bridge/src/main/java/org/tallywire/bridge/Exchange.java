package org.tallywire.bridge;

import java.time.Duration;
import java.util.ArrayList;
import java.util.EnumSet;
import java.util.List;
import java.util.Set;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Frame;
import org.tallywire.api.FrameException;
import org.tallywire.api.Framer;
import org.tallywire.api.Link;
import org.tallywire.api.LinkException;
import org.tallywire.api.Session;
import org.tallywire.api.TimeSource;

/** What comes over one open link, cut into frames and handed to the session. Used by one thread. */
final class Exchange implements Framer.Sink {

  private static final Duration LONGEST_WAIT = Duration.ofMillis(500);
  private static final int BUFFER = 4096;

  /** After these a session is over. */
  private static final Set<FaultCode> HOPELESS =
      EnumSet.of(FaultCode.VERSION_REFUSED, FaultCode.CONTRADICTION);

  private final Link link;
  private final Framer framer;
  private final Session session;
  private final TimeSource time;
  private final Witness witness;
  private final byte[] buffer = new byte[BUFFER];

  private List<Object> waiting = new ArrayList<>();
  private long bytes;
  private String lastFault = "";

  Exchange(Link link, Framer framer, Session session, TimeSource time, Witness witness) {
    this.link = link;
    this.framer = framer;
    this.session = session;
    this.time = time;
    this.witness = witness;
  }

  /** Is told what comes, in order. */
  interface Witness {

    /** Bytes that are no message, or none for now. */
    void fault(FrameException fault);

    /** A frame, before the session takes it. */
    default void frame(Frame frame) {}
  }

  /** Returns how many bytes came so far. */
  long bytes() {
    return bytes;
  }

  /** Returns why the last frame that arrived undamaged was refused; empty if none was. */
  String lastFault() {
    return lastFault;
  }

  /** Tells whether the session's next tick is due. */
  boolean isDue() {
    return time.nanos() - session.nextTick() >= 0;
  }

  /**
   * Waits for bytes until the session is due, half a second at most, and has it take what they
   * complete; returns how many came.
   */
  int read() throws LinkException {
    int count = link.read(buffer, untilNextTick());
    if (count > 0) {
      bytes += count;
      framer.feed(buffer, count, time.now(), this);
      take();
    }
    return count;
  }

  private void take() throws LinkException {
    List<Object> taken = waiting;
    waiting = new ArrayList<>();
    for (Object next : taken) {
      if (next instanceof Frame frame) {
        take(frame);
      } else if (next instanceof FrameException fault) {
        witness.fault(fault);
      }
    }
  }

  private void take(Frame frame) throws LinkException {
    try {
      witness.frame(frame);
      session.frame(frame);
    } catch (FrameException e) {
      lastFault = Visible.text(String.valueOf(e.getMessage()));
      witness.fault(e);
      if (HOPELESS.contains(e.code())) {
        throw new LinkException(FaultCode.LINK_REFUSED, String.valueOf(e.getMessage()), e);
      }
    }
  }

  private Duration untilNextTick() {
    long wait = session.nextTick() - time.nanos();
    if (session.nextTick() == Long.MAX_VALUE || wait > LONGEST_WAIT.toNanos()) {
      return LONGEST_WAIT;
    }
    return Duration.ofNanos(Math.max(0, wait));
  }

  @Override
  public void frame(Frame frame) {
    waiting.add(frame);
  }

  @Override
  public void fault(FrameException fault) {
    waiting.add(fault);
  }
}
