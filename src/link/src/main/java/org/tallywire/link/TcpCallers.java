package org.tallywire.link;

import java.io.IOException;
import java.net.BindException;
import java.net.InetAddress;
import java.net.InetSocketAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.net.SocketTimeoutException;
import java.time.Duration;
import java.util.concurrent.TimeUnit;
import org.jspecify.annotations.Nullable;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Link;
import org.tallywire.api.LinkAddress;
import org.tallywire.api.LinkException;

/**
 * Listens at a TCP port for the instrument that calls there. The newest caller wins: one that was
 * switched off and calls again does not know that its old connection still looks alive here. The
 * port stays open between two links, so that a caller finds it, and is freed when no link was asked
 * for during {@link #LINGER}.
 */
final class TcpCallers implements AutoCloseable {

  /** How long an opening waits for a caller: less than a station has to end. */
  static final Duration WAIT = Duration.ofSeconds(3);

  /** Longer than any pause between two attempts of a station. */
  static final Duration LINGER = Duration.ofSeconds(15);

  private static final Logger log = LoggerFactory.getLogger(TcpCallers.class);
  private static final int LOOK_MS = 500;
  private static final int BACKLOG = 4;
  private static final long CLOSE_LIMIT_MS = 1_000;

  private final LinkAddress.TcpListener address;
  private final ServerSocket server;
  private final Duration linger;
  private final Thread thread;

  // guarded by this
  private @Nullable Socket caller;
  private @Nullable TcpLink link;
  private boolean opening;
  private long wantedAt = System.nanoTime();
  private boolean closed;

  private TcpCallers(LinkAddress.TcpListener address, ServerSocket server, Duration linger) {
    this.address = address;
    this.server = server;
    this.linger = linger;
    this.thread = new Thread(this::accept, "accept " + address);
    thread.setDaemon(true);
  }

  static TcpCallers listen(LinkAddress.TcpListener address) throws LinkException {
    return listen(address, LINGER);
  }

  static TcpCallers listen(LinkAddress.TcpListener address, Duration linger) throws LinkException {
    InetSocketAddress here = new InetSocketAddress(address.host(), address.port());
    if (here.isUnresolved()) {
      throw new LinkException(
          FaultCode.LINK_NOT_FOUND, "opening %s: no host has that name".formatted(address));
    }
    TcpCallers callers = new TcpCallers(address, bound(address, here), linger);
    callers.thread.start();
    return callers;
  }

  private static ServerSocket bound(LinkAddress.TcpListener address, InetSocketAddress here)
      throws LinkException {
    ServerSocket server = null;
    try {
      server = new ServerSocket();
      server.setSoTimeout(LOOK_MS);
      server.bind(here, BACKLOG);
      return server;
    } catch (IOException e) {
      closeQuietly(server);
      String said = String.valueOf(e.getMessage());
      if (e instanceof BindException && said.contains("in use")) {
        throw new LinkException(
            FaultCode.LINK_BUSY,
            "opening %s: another program listens at this port; end it, or take another port"
                .formatted(address),
            e);
      }
      if (said.contains("ermission")) {
        throw new LinkException(
            FaultCode.LINK_FORBIDDEN,
            "opening %s: this account may not listen there; ports from 1024 on are free to all"
                .formatted(address),
            e);
      }
      throw new LinkException(
          FaultCode.LINK_NOT_FOUND,
          "opening %s: %s; the address must be one of this machine's own".formatted(address, said),
          e);
    }
  }

  private static void closeQuietly(@Nullable ServerSocket server) {
    try {
      if (server != null) {
        server.close();
      }
    } catch (IOException e) {
      log.debug("closing a listening socket: {}", e.toString());
    }
  }

  /**
   * Waits for a caller.
   *
   * @throws LinkException with {@link FaultCode#LINK_NOT_FOUND} if nobody called in time
   */
  synchronized Link open() throws LinkException {
    if (link != null || opening) {
      throw new LinkException(
          FaultCode.LINK_BUSY,
          "opening %s: another station listens there already; give this one another port"
              .formatted(address));
    }
    opening = true;
    try {
      return taken(awaitCaller());
    } finally {
      opening = false;
      wantedAt = System.nanoTime();
    }
  }

  private synchronized Socket awaitCaller() throws LinkException {
    long end = System.nanoTime() + WAIT.toNanos();
    Socket called = caller;
    while (called == null && !closed) {
      long left = TimeUnit.NANOSECONDS.toMillis(end - System.nanoTime());
      if (left <= 0) {
        throw new LinkException(
            FaultCode.LINK_NOT_FOUND,
            ("opening %s: nobody has called there yet; is the instrument set to call this machine"
                    + " at this port, and does a firewall let it in?")
                .formatted(address));
      }
      try {
        wait(left);
      } catch (InterruptedException e) {
        Thread.currentThread().interrupt();
        throw new LinkException(FaultCode.LINK_LOST, "opening %s: interrupted".formatted(address));
      }
      called = caller;
    }
    if (called == null) {
      throw new LinkException(FaultCode.LINK_LOST, "opening %s: it was closed".formatted(address));
    }
    return called;
  }

  private synchronized TcpLink taken(Socket called) throws LinkException {
    caller = null;
    TcpLink made = TcpLink.accepted(called, name(called), address.settle(), this::released);
    link = made;
    return made;
  }

  private String name(Socket called) {
    InetAddress from = called.getInetAddress();
    return "%s (caller %s)".formatted(address, from == null ? "gone" : from.getHostAddress());
  }

  private synchronized void released() {
    link = null;
    wantedAt = System.nanoTime();
  }

  private void accept() {
    while (!isClosed()) {
      try {
        called(server.accept());
      } catch (SocketTimeoutException e) {
        closeIfUnwanted();
      } catch (IOException e) {
        if (!isClosed()) {
          log.warn("{}: accepting a caller: {}; the port is opened anew", address, e.getMessage());
          end();
        }
      }
    }
  }

  private synchronized void called(Socket next) {
    if (closed) {
      TcpLink.closeQuietly(next);
      return;
    }
    if (caller != null) {
      TcpLink.closeQuietly(caller);
    }
    caller = next;
    if (link != null) {
      link.end(
          "%s called and takes the place of this connection; if two instruments call here, give"
                  .formatted(next.getRemoteSocketAddress())
              + " each its own port");
    }
    notifyAll();
  }

  private synchronized void closeIfUnwanted() {
    if (link == null && !opening && System.nanoTime() - wantedAt > linger.toNanos()) {
      end();
    }
  }

  synchronized boolean isClosed() {
    return closed;
  }

  private synchronized void end() {
    closed = true;
    closeQuietly(server);
    if (caller != null) {
      TcpLink.closeQuietly(caller);
    }
    if (link != null) {
      link.end("the port at which it called was closed");
    }
    notifyAll();
  }

  /** Frees the port, which the system holds until nobody accepts there, and ends connections. */
  @Override
  public void close() {
    end();
    try {
      thread.join(CLOSE_LIMIT_MS);
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }
}
