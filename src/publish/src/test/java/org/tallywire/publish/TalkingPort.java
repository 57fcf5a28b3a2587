package org.tallywire.publish;

import java.io.IOException;
import java.io.OutputStream;
import java.net.InetAddress;
import java.net.ServerSocket;
import java.net.Socket;

/** A port where something answers in plain text, as a mail server does. */
final class TalkingPort implements AutoCloseable {

  private final ServerSocket server = new ServerSocket(0, 50, InetAddress.getLoopbackAddress());

  TalkingPort() throws IOException {
    Thread thread = new Thread(this::accept, "talking-port");
    thread.setDaemon(true);
    thread.start();
  }

  int port() {
    return server.getLocalPort();
  }

  @Override
  public void close() throws IOException {
    server.close();
  }

  private void accept() {
    try {
      while (true) {
        Socket accepted = server.accept();
        try (Socket socket = accepted) {
          socket.getOutputStream().write(Bench.bytes("220 invented.example ready\r\n"));
          // to hang up on what is unread would take the answer away with it
          socket.getInputStream().transferTo(OutputStream.nullOutputStream());
        } catch (IOException e) {
          // the other side went
        }
      }
    } catch (IOException e) {
      // closed
    }
  }
}
