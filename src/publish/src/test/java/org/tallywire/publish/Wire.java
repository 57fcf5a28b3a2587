package org.tallywire.publish;

import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.util.Set;
import java.util.concurrent.ConcurrentHashMap;

/** A cable between publisher and broker that can be pulled out and plugged in elsewhere. */
final class Wire implements AutoCloseable {

  private final ServerSocket server = new ServerSocket(0, 50, InetAddress.getLoopbackAddress());
  private final Set<Socket> sockets = ConcurrentHashMap.newKeySet();
  private volatile int target;

  Wire(int target) throws IOException {
    this.target = target;
    spawn(this::accept);
  }

  int port() {
    return server.getLocalPort();
  }

  /** Pulls it out: ends all connections without a goodbye and lets no new one through. */
  void cut() throws IOException {
    target = 0;
    for (Socket socket : sockets) {
      socket.close();
    }
  }

  /** Plugs it in at a broker's port. */
  void plug(int port) {
    target = port;
  }

  @Override
  public void close() throws IOException {
    server.close();
    cut();
  }

  private void accept() {
    try {
      while (true) {
        connect(server.accept());
      }
    } catch (IOException e) {
      // this wire was closed
    }
  }

  private void connect(Socket near) throws IOException {
    int port = target;
    if (port == 0) {
      near.close();
      return;
    }
    try {
      Socket far = new Socket(InetAddress.getLoopbackAddress(), port);
      sockets.add(near);
      sockets.add(far);
      if (target != port) {
        cut();
      }
      spawn(() -> copy(near, far));
      spawn(() -> copy(far, near));
    } catch (IOException e) {
      near.close(); // the broker is not there
    }
  }

  private void copy(Socket from, Socket to) {
    try (from;
        to) {
      InputStream in = from.getInputStream();
      OutputStream out = to.getOutputStream();
      in.transferTo(out);
    } catch (IOException e) {
      // cut
    } finally {
      sockets.remove(from);
      sockets.remove(to);
    }
  }

  private static void spawn(Runnable work) {
    Thread thread = new Thread(work, "wire");
    thread.setDaemon(true);
    thread.start();
  }
}
