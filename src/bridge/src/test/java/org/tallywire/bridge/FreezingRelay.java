package org.tallywire.bridge;

import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.util.List;
import java.util.concurrent.CopyOnWriteArrayList;

/**
 * A TCP relay on loopback that can go silent as a switch that lost its power does: connections
 * stay, nothing passes, nobody is told. New connections pass.
 */
final class FreezingRelay implements AutoCloseable {

  private final ServerSocket server;
  private final int target;
  private final List<Pair> pairs = new CopyOnWriteArrayList<>();

  private FreezingRelay(ServerSocket server, int target) {
    this.server = server;
    this.target = target;
  }

  static FreezingRelay start(int target) throws IOException {
    FreezingRelay relay =
        new FreezingRelay(new ServerSocket(0, 10, InetAddress.getLoopbackAddress()), target);
    daemon(relay::accept);
    return relay;
  }

  int port() {
    return server.getLocalPort();
  }

  /** Lets nothing pass any more on the connections that there are. */
  void freeze() {
    pairs.forEach(pair -> pair.frozen = true);
  }

  private void accept() {
    try {
      while (true) {
        Socket near = server.accept();
        Pair pair = new Pair(near, new Socket(InetAddress.getLoopbackAddress(), target));
        pairs.add(pair);
        daemon(() -> pair.pass(pair.near, pair.far));
        daemon(() -> pair.pass(pair.far, pair.near));
      }
    } catch (IOException e) {
      // it was closed
    }
  }

  private static void daemon(Runnable task) {
    Thread thread = new Thread(task, "relay");
    thread.setDaemon(true);
    thread.start();
  }

  @Override
  public void close() throws IOException {
    server.close();
    for (Pair pair : pairs) {
      pair.near.close();
      pair.far.close();
    }
  }

  /** The two sides of a connection. */
  private static final class Pair {

    private final Socket near;
    private final Socket far;
    private volatile boolean frozen;

    Pair(Socket near, Socket far) {
      this.near = near;
      this.far = far;
    }

    void pass(Socket from, Socket to) {
      byte[] buffer = new byte[4096];
      try {
        InputStream in = from.getInputStream();
        OutputStream out = to.getOutputStream();
        for (int count = in.read(buffer); count >= 0; count = in.read(buffer)) {
          if (!frozen) {
            out.write(buffer, 0, count);
            out.flush();
          }
        }
      } catch (IOException e) {
        // an end is gone; a frozen relay tells nobody
      }
      if (!frozen) {
        closeBoth();
      }
    }

    private void closeBoth() {
      try {
        near.close();
        far.close();
      } catch (IOException e) {
        // they are gone
      }
    }
  }
}
