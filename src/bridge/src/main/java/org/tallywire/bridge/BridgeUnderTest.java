package org.tallywire.bridge;

import java.io.IOException;
import java.net.InetSocketAddress;
import java.net.ServerSocket;
import java.net.SocketTimeoutException;
import java.time.Duration;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Link;
import org.tallywire.api.LinkException;
import org.tallywire.conform.BridgeConformance;
import org.tallywire.link.Links;

/** A TCP port at which the bridge under test calls. */
final class BridgeUnderTest implements BridgeConformance.Source, AutoCloseable {

  private final ServerSocket socket;

  private BridgeUnderTest(ServerSocket socket) {
    this.socket = socket;
  }

  /** Listens; port 0 takes a free one. */
  static BridgeUnderTest listen(String host, int port) throws LinkException {
    try {
      ServerSocket socket = new ServerSocket();
      socket.setReuseAddress(true);
      socket.bind(new InetSocketAddress(host, port));
      return new BridgeUnderTest(socket);
    } catch (IOException | IllegalArgumentException e) {
      throw new LinkException(
          FaultCode.LINK_BUSY,
          "listening at tcp://%s:%d: %s".formatted(host, port, e.getMessage()),
          e);
    }
  }

  int port() {
    return socket.getLocalPort();
  }

  @Override
  public Link next(Duration within) throws LinkException {
    try {
      socket.setSoTimeout((int) Math.max(1, within.toMillis()));
      return Links.accepted(socket.accept(), "the bridge");
    } catch (SocketTimeoutException e) {
      throw new LinkException(
          FaultCode.LINK_SILENT,
          "no bridge connected within %d s".formatted(within.toSeconds()),
          e);
    } catch (LinkException e) {
      throw e;
    } catch (IOException e) {
      throw new LinkException(FaultCode.LINK_LOST, "listening: " + e.getMessage(), e);
    }
  }

  @Override
  public boolean showsClosing() {
    return true;
  }

  @Override
  public void close() {
    try {
      socket.close();
    } catch (IOException e) {
      // there is nothing left to do with a socket that cannot be closed
    }
  }
}
