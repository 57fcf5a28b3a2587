package org.tallywire.publish;

import java.io.IOException;
import java.io.OutputStream;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.Socket;
import java.util.concurrent.atomic.AtomicInteger;

/** A peer that takes connections and everything sent on them, and answers little or nothing. */
final class MuteBroker implements AutoCloseable {

  /** MQTT 3.1.1, 3.2: CONNACK, no session present, accepted. */
  private static final byte[] CONNACK = {0x20, 0x02, 0x00, 0x00};

  private final ServerSocket server = new ServerSocket(0, 50, InetAddress.getLoopbackAddress());
  private final AtomicInteger connections = new AtomicInteger();
  private final Manner manner;

  /** How it treats a connection. */
  enum Manner {
    /** Takes everything and never answers. */
    SILENT,
    /** Accepts the MQTT connection and falls silent then. */
    WELCOMES,
    /** Ends the connection as soon as it is there. */
    HANGS_UP
  }

  MuteBroker(Manner manner) throws IOException {
    this.manner = manner;
    spawn(this::accept);
  }

  int port() {
    return server.getLocalPort();
  }

  int connections() {
    return connections.get();
  }

  @Override
  public void close() throws IOException {
    server.close();
  }

  private void accept() {
    try {
      while (true) {
        Socket socket = server.accept();
        connections.incrementAndGet();
        spawn(() -> swallow(socket));
      }
    } catch (IOException e) {
      // closed
    }
  }

  private void swallow(Socket socket) {
    try (socket) {
      if (manner == Manner.HANGS_UP) {
        return;
      }
      boolean first = true;
      byte[] buffer = new byte[8192];
      while (socket.getInputStream().read(buffer) >= 0) {
        if (first && manner == Manner.WELCOMES) {
          OutputStream out = socket.getOutputStream();
          out.write(CONNACK);
          out.flush();
        }
        first = false;
      }
    } catch (IOException e) {
      // the other side went
    }
  }

  private static void spawn(Runnable work) {
    Thread thread = new Thread(work, "mute-broker");
    thread.setDaemon(true);
    thread.start();
  }
}
