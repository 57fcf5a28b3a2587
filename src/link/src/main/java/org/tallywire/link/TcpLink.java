package org.tallywire.link;

import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.net.ConnectException;
import java.net.InetSocketAddress;
import java.net.Socket;
import java.net.SocketTimeoutException;
import java.net.UnknownHostException;
import java.time.Duration;
import java.util.Arrays;
import java.util.concurrent.atomic.AtomicBoolean;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Link;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.LinkException;

/** A TCP connection as a link, to an instrument with a network socket or to a serial server. */
final class TcpLink implements Link {

  private static final Logger log = LoggerFactory.getLogger(TcpLink.class);
  private static final int CONNECT_LIMIT_MS = 3_000;

  /** Of what came while it settled, so many bytes are shown. */
  private static final int EARLY_SHOWN = 64;

  private final String name;
  private final Socket socket;
  private final InputStream in;
  private final OutputStream out;
  private final BoundedWrite writer;
  private final AtomicBoolean closed = new AtomicBoolean();
  private final Duration settle;
  private final Runnable whenClosed;
  private volatile String ended = "";

  private TcpLink(String name, Socket socket, Duration settle, Runnable whenClosed)
      throws IOException {
    this.name = name;
    this.settle = settle;
    this.socket = socket;
    this.whenClosed = whenClosed;
    this.in = socket.getInputStream();
    this.out = socket.getOutputStream();
    this.writer = new BoundedWrite(name);
  }

  static TcpLink open(LinkAddress.Tcp address) throws LinkException {
    Socket socket = new Socket();
    try {
      socket.setTcpNoDelay(true);
      socket.setKeepAlive(true);
      socket.connect(new InetSocketAddress(address.host(), address.port()), CONNECT_LIMIT_MS);
      return new TcpLink(address.toString(), socket, address.settle(), () -> {});
    } catch (IOException e) {
      closeQuietly(socket);
      throw refused(address, e);
    }
  }

  /** Takes a connection that the other side opened. */
  static TcpLink accepted(Socket socket, String name) throws LinkException {
    return accepted(socket, name, Duration.ZERO, () -> {});
  }

  /** Takes one, and tells when its link is closed. */
  static TcpLink accepted(Socket socket, String name, Duration settle, Runnable whenClosed)
      throws LinkException {
    try {
      socket.setTcpNoDelay(true);
      socket.setKeepAlive(true);
      return new TcpLink(name, socket, settle, whenClosed);
    } catch (IOException e) {
      closeQuietly(socket);
      throw new LinkException(
          FaultCode.LINK_LOST, "accepting %s: %s".formatted(name, e.getMessage()), e);
    }
  }

  private static LinkException refused(LinkAddress.Tcp address, IOException cause) {
    if (cause instanceof UnknownHostException) {
      return new LinkException(
          FaultCode.LINK_NOT_FOUND,
          "connecting to %s: no host has that name".formatted(address),
          cause);
    }
    if (cause instanceof SocketTimeoutException) {
      return new LinkException(
          FaultCode.LINK_NOT_FOUND,
          "connecting to %s: no answer within %d ms".formatted(address, CONNECT_LIMIT_MS),
          cause);
    }
    FaultCode code =
        cause instanceof ConnectException ? FaultCode.LINK_REFUSED : FaultCode.LINK_NOT_FOUND;
    return new LinkException(
        code, "connecting to %s: %s".formatted(address, cause.getMessage()), cause);
  }

  @Override
  public void settle() throws LinkException {
    long end = System.nanoTime() + settle.toNanos();
    byte[] buffer = new byte[4096];
    byte[] first = new byte[0];
    long count = 0;
    for (long left = settle.toNanos(); left > 0; left = end - System.nanoTime()) {
      int more = read(buffer, Duration.ofNanos(left));
      first = count == 0 ? Arrays.copyOf(buffer, Math.min(more, EARLY_SHOWN)) : first;
      count += more;
    }
    if (count > 0) {
      log.info(
          "{}: {} bytes came while it settled and are no data, first {}",
          name,
          count,
          VisibleBytes.of(first, first.length));
    }
  }

  @Override
  public int read(byte[] buffer, Duration wait) throws LinkException {
    try {
      socket.setSoTimeout((int) Math.max(1, wait.toMillis()));
      int count = in.read(buffer);
      if (count < 0) {
        throw new LinkException(
            FaultCode.LINK_LOST, "reading %s: the other side closed".formatted(name));
      }
      return count;
    } catch (SocketTimeoutException e) {
      return 0;
    } catch (LinkException e) {
      throw e;
    } catch (IOException e) {
      String why = ended.isEmpty() ? String.valueOf(e.getMessage()) : ended;
      throw new LinkException(FaultCode.LINK_LOST, "reading %s: %s".formatted(name, why), e);
    }
  }

  /** Ends the connection, so that the reader is told why; the link stays to be closed. */
  void end(String why) {
    ended = why;
    closeQuietly(socket);
  }

  @Override
  public void write(byte[] bytes) throws LinkException {
    writer.run(
        bytes.length,
        () -> {
          out.write(bytes);
          out.flush();
          return bytes.length;
        });
  }

  @Override
  public void close() {
    if (!closed.getAndSet(true)) {
      closeQuietly(socket);
      writer.close();
      whenClosed.run();
    }
  }

  static void closeQuietly(Socket socket) {
    try {
      socket.close();
    } catch (IOException e) {
      // there is nothing left to do with a socket that cannot be closed
    }
  }
}
