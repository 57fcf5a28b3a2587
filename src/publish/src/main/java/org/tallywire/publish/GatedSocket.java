package org.tallywire.publish;

import java.io.FilterInputStream;
import java.io.FilterOutputStream;
import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.net.InetAddress;
import java.net.Socket;
import java.time.Duration;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import java.util.function.Consumer;
import javax.net.SocketFactory;

/**
 * A socket nothing can be read from before something was written to it. The library starts its
 * threads one after the other and, if the connection ends in between, leaves one of them waiting
 * for ever; a broker has nothing to say before it is spoken to, so the end may wait as well.
 */
final class GatedSocket extends Socket {

  private static final Duration LONGEST_GATE = Duration.ofSeconds(5);

  private final CountDownLatch spoken = new CountDownLatch(1);

  /** Waits until something was written, which the library does once all its threads run. */
  boolean awaitSpoken(Duration wait) throws InterruptedException {
    return spoken.await(wait.toNanos(), TimeUnit.NANOSECONDS);
  }

  @Override
  public InputStream getInputStream() throws IOException {
    return new FilterInputStream(super.getInputStream()) {
      @Override
      public int read() throws IOException {
        pass();
        return super.read();
      }

      @Override
      public int read(byte[] bytes, int from, int length) throws IOException {
        pass();
        return super.read(bytes, from, length);
      }

      @Override
      public int available() throws IOException {
        pass();
        return super.available();
      }
    };
  }

  @Override
  public OutputStream getOutputStream() throws IOException {
    return new FilterOutputStream(super.getOutputStream()) {
      @Override
      public void write(int value) throws IOException {
        spoken.countDown();
        out.write(value);
      }

      @Override
      public void write(byte[] bytes, int from, int length) throws IOException {
        spoken.countDown();
        out.write(bytes, from, length);
      }
    };
  }

  private void pass() throws IOException {
    try {
      if (!awaitSpoken(LONGEST_GATE)) {
        throw new IOException(
            "nothing was sent within %d s of connecting".formatted(LONGEST_GATE.toSeconds()));
      }
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
      throw new IOException("interrupted while connecting", e);
    }
  }

  /** Makes such sockets and tells of each. */
  static SocketFactory factory(Consumer<GatedSocket> made) {
    return new SocketFactory() {
      @Override
      public Socket createSocket() throws IOException {
        GatedSocket socket = new GatedSocket();
        // a record must not wait in our own machine for the acknowledgement of the one before it
        socket.setTcpNoDelay(true);
        made.accept(socket);
        return socket;
      }

      @Override
      public Socket createSocket(String host, int port) {
        throw unconnected();
      }

      @Override
      public Socket createSocket(String host, int port, InetAddress local, int localPort) {
        throw unconnected();
      }

      @Override
      public Socket createSocket(InetAddress host, int port) {
        throw unconnected();
      }

      @Override
      public Socket createSocket(InetAddress host, int port, InetAddress local, int localPort) {
        throw unconnected();
      }
    };
  }

  private static UnsupportedOperationException unconnected() {
    return new UnsupportedOperationException("this factory makes unconnected sockets only");
  }
}
