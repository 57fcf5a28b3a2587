package org.tallywire.simulator.wire;

import java.io.ByteArrayOutputStream;
import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.net.InetAddress;
import java.net.Socket;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.nio.file.StandardOpenOption;

/** The program at the other end of a wire: collects what it hears, on a thread of its own. */
final class FarEnd {

  private final OutputStream out;
  private final ByteArrayOutputStream heard = new ByteArrayOutputStream();
  private volatile boolean ended;

  private FarEnd(InputStream in, OutputStream out) {
    this.out = out;
    Thread thread = new Thread(() -> collect(in), "far-end");
    thread.setDaemon(true);
    thread.start();
  }

  /** Opens what {@link Wire#address} names. */
  static FarEnd of(String address) throws IOException {
    String place = address.substring(address.indexOf(' ') + 1);
    if (address.startsWith("tcp ")) {
      Socket socket = socket(address);
      return new FarEnd(socket.getInputStream(), socket.getOutputStream());
    }
    Path path = Path.of(place);
    return new FarEnd(
        Files.newInputStream(path), Files.newOutputStream(path, StandardOpenOption.WRITE));
  }

  static Socket socket(String address) throws IOException {
    return new Socket(
        InetAddress.getLoopbackAddress(),
        Integer.parseInt(address.substring(address.lastIndexOf(':') + 1)));
  }

  private void collect(InputStream in) {
    byte[] buffer = new byte[4096];
    try (in) {
      int count = in.read(buffer);
      while (count >= 0) {
        synchronized (heard) {
          heard.write(buffer, 0, count);
        }
        count = in.read(buffer);
      }
    } catch (IOException hungUp) {
      // A pseudo-terminal that is hung up fails with EIO; it is as good an end as any.
    }
    ended = true;
  }

  void say(String words) throws IOException {
    out.write(words.getBytes(StandardCharsets.ISO_8859_1));
    out.flush();
  }

  void leave() throws IOException {
    out.close();
  }

  String heard() {
    synchronized (heard) {
      return heard.toString(StandardCharsets.ISO_8859_1);
    }
  }

  boolean ended() {
    return ended;
  }
}
