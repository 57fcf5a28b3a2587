package org.tallywire.fault;

import java.io.DataInputStream;
import java.io.IOException;
import java.io.OutputStream;
import java.io.UncheckedIOException;
import java.net.InetAddress;
import java.net.InetSocketAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.util.Set;
import java.util.concurrent.ConcurrentHashMap;
import java.util.concurrent.atomic.AtomicInteger;
import org.jspecify.annotations.Nullable;

/**
 * Stands between a bridge and the real broker, passes packets on, and misbehaves as it is told:
 * what a broker or the network before it can do to a publisher. While it refuses, nothing of the
 * bridge reaches the broker. Safe for several threads.
 */
final class Gate implements AutoCloseable {

  /** So many bytes a second get through a slow gate. */
  private static final int SLOW = 30_000;

  private final int port;
  private final Set<Socket> sockets = ConcurrentHashMap.newKeySet();
  private final AtomicInteger left = new AtomicInteger();
  private final AtomicInteger cuts = new AtomicInteger();
  private volatile Trouble trouble = Trouble.NONE;
  private volatile int target;
  private volatile int until;
  private @Nullable ServerSocket server;

  /** What it does. */
  enum Trouble {
    NONE,
    /** Nothing listens at its port, and every connection is ended. */
    REFUSING,
    /** It takes connections and bytes, and says nothing, as a machine that has lost its power. */
    HALF_OPEN,
    /** Bytes pass slowly, both ways. */
    SLOW,
    /** Each acknowledgement is passed on twice. */
    TWICE,
    /** Ends the connection instead of passing on an acknowledgement. */
    CUT_BEFORE_ACKNOWLEDGEMENT,
    /** Ends the connection when it has passed on an acknowledgement. */
    CUT_AFTER_ACKNOWLEDGEMENT,
    /** Ends the connection in the midst of a message. */
    CUT_IN_MESSAGE
  }

  /** A gate before the broker at a port. */
  Gate(int target) throws IOException {
    this.target = target;
    this.server = new ServerSocket(0, 50, InetAddress.getLoopbackAddress());
    this.port = server.getLocalPort();
    accept(server);
  }

  int port() {
    return port;
  }

  /** Leads to another broker from now on. */
  void lead(int to) {
    target = to;
  }

  /** Returns how many connections it has cut by a trouble of cutting. */
  int cuts() {
    return cuts.get();
  }

  /**
   * Misbehaves from now on.
   *
   * @param packets for the troubles of cutting: so many pass before the connection ends, and before
   *     the next one does
   */
  synchronized void set(Trouble now, int packets) throws IOException {
    boolean was = trouble == Trouble.REFUSING;
    until = packets;
    left.set(packets);
    trouble = now;
    if (now == Trouble.REFUSING && server != null) {
      server.close();
      server = null;
      cut();
    } else if (was && now != Trouble.REFUSING) {
      ServerSocket opened = new ServerSocket();
      opened.setReuseAddress(true);
      opened.bind(new InetSocketAddress(InetAddress.getLoopbackAddress(), port), 50);
      server = opened;
      accept(opened);
    }
  }

  /** Ends all connections without a goodbye. */
  void cut() {
    for (Socket socket : sockets) {
      end(socket);
    }
  }

  private void accept(ServerSocket at) {
    spawn(
        () -> {
          try {
            while (true) {
              connect(at.accept());
            }
          } catch (IOException e) {
            // this gate refuses, or is closed
          }
        });
  }

  private void connect(Socket near) {
    sockets.add(near);
    try {
      Socket far = new Socket(InetAddress.getLoopbackAddress(), target);
      sockets.add(far);
      near.setTcpNoDelay(true);
      far.setTcpNoDelay(true);
      left.set(until);
      spawn(() -> pass(near, far, true));
      spawn(() -> pass(far, near, false));
    } catch (IOException e) {
      end(near);
    }
  }

  private void pass(Socket from, Socket to, boolean toBroker) {
    try (from;
        to) {
      DataInputStream in = new DataInputStream(from.getInputStream());
      OutputStream out = to.getOutputStream();
      while (true) {
        Packet packet = Packet.read(in);
        if (!pass(packet, out, toBroker)) {
          cuts.incrementAndGet();
          return;
        }
      }
    } catch (IOException e) {
      // one side is gone, so the other has to go
    } finally {
      end(from);
      end(to);
    }
  }

  /** Passes a packet on as the trouble wants it; false where the connection is to end. */
  private boolean pass(Packet packet, OutputStream out, boolean toBroker) throws IOException {
    Trouble now = trouble;
    byte[] bytes = packet.bytes();
    switch (now) {
      case HALF_OPEN -> {}
      case SLOW -> {
        out.write(bytes);
        Pause.millis(1000L * bytes.length / SLOW);
      }
      case TWICE -> {
        out.write(bytes);
        if (packet.isAcknowledgement()) {
          out.write(bytes);
        }
      }
      case CUT_IN_MESSAGE -> {
        if (toBroker && packet.isPublish() && left.decrementAndGet() < 0) {
          out.write(bytes, 0, bytes.length / 2);
          return false;
        }
        out.write(bytes);
      }
      case CUT_BEFORE_ACKNOWLEDGEMENT, CUT_AFTER_ACKNOWLEDGEMENT -> {
        boolean last = packet.isAcknowledgement() && left.decrementAndGet() < 0;
        if (!last || now == Trouble.CUT_AFTER_ACKNOWLEDGEMENT) {
          out.write(bytes);
        }
        return !last;
      }
      default -> out.write(bytes);
    }
    return true;
  }

  private void end(Socket socket) {
    try {
      sockets.remove(socket);
      socket.close();
    } catch (IOException e) {
      throw new UncheckedIOException(e);
    }
  }

  private static void spawn(Runnable work) {
    Thread thread = new Thread(work, "gate");
    thread.setDaemon(true);
    thread.start();
  }

  @Override
  public synchronized void close() throws IOException {
    if (server != null) {
      server.close();
    }
    cut();
  }
}
