package org.tallywire.web;

import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.net.URI;
import java.util.Collection;
import java.util.concurrent.ConcurrentLinkedQueue;

/** A TCP path to the page that can fall silent without closing, as a stopped program does. */
final class Relay implements AutoCloseable {

  private final int target;
  private final ServerSocket listening = new ServerSocket(0, 50, InetAddress.getLoopbackAddress());
  private final Collection<Socket> sockets = new ConcurrentLinkedQueue<>();
  private volatile boolean silent;

  Relay(int target) throws IOException {
    this.target = target;
    start(this::accept);
  }

  URI address() {
    return URI.create("http://127.0.0.1:" + listening.getLocalPort() + "/");
  }

  void silence(boolean on) {
    silent = on;
  }

  private void accept() throws IOException {
    while (true) {
      Socket near = listening.accept();
      Socket far = new Socket(InetAddress.getLoopbackAddress(), target);
      sockets.add(near);
      sockets.add(far);
      start(() -> copy(near.getInputStream(), far.getOutputStream()));
      start(() -> copy(far.getInputStream(), near.getOutputStream()));
    }
  }

  private void copy(InputStream in, OutputStream out) throws IOException {
    byte[] bytes = new byte[16_384];
    for (int n = in.read(bytes); n >= 0; n = in.read(bytes)) {
      if (!silent) {
        out.write(bytes, 0, n);
        out.flush();
      }
    }
    out.close();
  }

  private interface Work {
    void run() throws IOException;
  }

  private static void start(Work work) {
    Thread thread =
        new Thread(
            () -> {
              try {
                work.run();
              } catch (IOException e) {
                return; // one side has gone; so has the path
              }
            },
            "relay");
    thread.setDaemon(true);
    thread.start();
  }

  @Override
  public void close() throws IOException {
    listening.close();
    for (Socket socket : sockets) {
      socket.close();
    }
  }
}
