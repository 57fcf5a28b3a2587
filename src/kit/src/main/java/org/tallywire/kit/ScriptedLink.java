package org.tallywire.kit;

import java.io.ByteArrayOutputStream;
import java.time.Duration;
import java.util.concurrent.BlockingQueue;
import java.util.concurrent.LinkedBlockingQueue;
import java.util.concurrent.TimeUnit;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Link;
import org.tallywire.api.LinkException;

/** A link whose other side is the test: gives what it is told, keeps what is written. */
public final class ScriptedLink implements Link {

  private static final byte[] CUT = new byte[0];

  private final BlockingQueue<byte[]> arriving = new LinkedBlockingQueue<>();
  private final ByteArrayOutputStream written = new ByteArrayOutputStream();
  private volatile boolean gone;

  /** Lets bytes arrive, as one piece. */
  public void arrive(byte[] bytes) {
    if (bytes.length > 0) {
      arriving.add(bytes.clone());
    }
  }

  /** Pulls the plug, after what has arrived so far has been read. */
  public void cut() {
    arriving.add(CUT);
  }

  /** Returns all that was written so far. */
  public byte[] written() {
    synchronized (written) {
      return written.toByteArray();
    }
  }

  @Override
  public int read(byte[] buffer, Duration wait) throws LinkException {
    try {
      byte[] next = gone ? CUT : arriving.poll(wait.toNanos(), TimeUnit.NANOSECONDS);
      if (next == null) {
        return 0;
      }
      if (next.length == 0) {
        gone = true;
        throw new LinkException(FaultCode.LINK_LOST, "reading the scripted link: it was cut");
      }
      if (next.length > buffer.length) {
        throw new IllegalArgumentException(
            "a piece of %d bytes for a buffer of %d".formatted(next.length, buffer.length));
      }
      System.arraycopy(next, 0, buffer, 0, next.length);
      return next.length;
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
      throw new LinkException(FaultCode.LINK_LOST, "reading the scripted link: interrupted", e);
    }
  }

  @Override
  public void write(byte[] bytes) throws LinkException {
    if (gone) {
      throw new LinkException(FaultCode.LINK_LOST, "writing to the scripted link: it was cut");
    }
    synchronized (written) {
      written.writeBytes(bytes);
    }
  }

  @Override
  public void close() {
    gone = true;
    arriving.add(CUT);
  }
}
