package org.tallywire.bridge;

import java.time.Duration;
import org.jspecify.annotations.Nullable;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Link;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.LinkException;
import org.tallywire.conform.Opener;
import org.tallywire.link.Links;

/**
 * Opens links to one running program, for the conformance kit: closing a link leaves the program
 * alone, as pulling a cable leaves an instrument alone. A station's link starts it anew each time,
 * which is switching the instrument off and on. Used by one thread.
 */
final class KeptProgram implements Opener, AutoCloseable {

  private final Links links;
  private final LinkAddress.Program address;
  private @Nullable Link running;

  KeptProgram(Links links, LinkAddress.Program address) {
    this.links = links;
    this.address = address;
  }

  @Override
  public Link open() throws LinkException {
    Link link = running;
    if (link == null || !isDrained(link)) {
      close();
      link = links.open(address);
      running = link;
      link.settle(); // it starts; then it is held to the times of the protocol
    }
    return new Cable(link);
  }

  /** Drops what came while nobody listened; tells whether the program still runs. */
  private static boolean isDrained(Link link) {
    byte[] buffer = new byte[4096];
    try {
      int count = link.read(buffer, Duration.ZERO);
      while (count == buffer.length) {
        count = link.read(buffer, Duration.ZERO);
      }
      return true;
    } catch (LinkException e) {
      return false; // somebody switched it off: the next link starts it
    }
  }

  @Override
  public void close() {
    Link link = running;
    if (link != null) {
      link.close();
      running = null;
    }
  }

  /** One link to it. */
  private static final class Cable implements Link {

    private final Link to;
    private volatile boolean closed;

    Cable(Link to) {
      this.to = to;
    }

    @Override
    public int read(byte[] buffer, Duration wait) throws LinkException {
      require();
      return to.read(buffer, wait);
    }

    @Override
    public void write(byte[] bytes) throws LinkException {
      require();
      to.write(bytes);
    }

    private void require() throws LinkException {
      if (closed) {
        throw new LinkException(FaultCode.LINK_LOST, "the link was closed");
      }
    }

    @Override
    public void close() {
      closed = true;
    }
  }
}
