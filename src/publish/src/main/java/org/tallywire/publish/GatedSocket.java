package org.tallywire.publish;

import java.io.FilterInputStream;
import java.io.FilterOutputStream;
import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.net.InetAddress;
import java.net.Socket;
import java.net.SocketAddress;
import java.net.SocketException;
import java.net.SocketTimeoutException;
import java.time.Duration;
import java.util.Optional;
import java.util.concurrent.CountDownLatch;
import java.util.concurrent.TimeUnit;
import java.util.function.Consumer;
import javax.net.SocketFactory;
import org.jspecify.annotations.Nullable;

/**
 * A socket nothing can be read from before something was written to it. The library starts its
 * threads one after the other and, if the connection ends in between, leaves one of them waiting
 * for ever; a broker has nothing to say before it is spoken to, so the end may wait as well. With
 * TLS the gate is above it: the handshake is over before the library's threads start.
 */
final class GatedSocket extends Socket {

  private static final Duration LONGEST_GATE = Duration.ofSeconds(5);
  private static final Duration LONGEST_VERDICT = Duration.ofSeconds(2);

  private final CountDownLatch spoken = new CountDownLatch(1);
  private final CountDownLatch ended = new CountDownLatch(1);
  private final Socket plain = new Socket();
  private final Optional<TlsContext> tls;
  // what the library reads and writes: the plain socket, or the secured one over it
  private volatile @Nullable Socket carrier;
  private volatile @Nullable TlsException refusal;

  GatedSocket(Optional<TlsContext> tls) {
    this.tls = tls;
  }

  /** Connects and, with TLS, proves who is who; the library hears of the connection after that. */
  @Override
  public void connect(SocketAddress address, int timeoutMillis) throws IOException {
    plain.connect(address, timeoutMillis);
    // a record must not wait in our own machine for the acknowledgement of the one before it
    plain.setTcpNoDelay(true);
    if (tls.isEmpty()) {
      carrier = plain;
      return;
    }
    plain.setSoTimeout(timeoutMillis);
    try {
      carrier = tls.get().over(plain);
    } catch (IOException e) {
      plain.close();
      throw e;
    }
  }

  /** Returns whether the library can use it. */
  @Override
  public boolean isConnected() {
    return carrier != null;
  }

  @Override
  public boolean isClosed() {
    return plain.isClosed();
  }

  @Override
  public synchronized void setSoTimeout(int millis) throws SocketException {
    plain.setSoTimeout(millis);
  }

  @Override
  public synchronized int getSoTimeout() throws SocketException {
    return plain.getSoTimeout();
  }

  /**
   * Ends both layers at once. No goodbye of TLS is said: to write it may take for ever on a dead
   * connection, and MQTT has one of its own.
   */
  @Override
  public synchronized void close() throws IOException {
    plain.close();
  }

  /** Waits until something was written, which the library does once all its threads run. */
  boolean awaitSpoken(Duration wait) throws InterruptedException {
    return spoken.await(wait.toNanos(), TimeUnit.NANOSECONDS);
  }

  @Override
  public InputStream getInputStream() throws IOException {
    return new FilterInputStream(connected().getInputStream()) {
      @Override
      public int read() throws IOException {
        pass();
        try {
          return in.read();
        } catch (IOException e) {
          throw heard(e);
        }
      }

      @Override
      public int read(byte[] bytes, int from, int length) throws IOException {
        pass();
        try {
          return in.read(bytes, from, length);
        } catch (IOException e) {
          throw heard(e);
        }
      }

      @Override
      public int available() throws IOException {
        pass();
        return in.available();
      }
    };
  }

  @Override
  public OutputStream getOutputStream() throws IOException {
    return new FilterOutputStream(connected().getOutputStream()) {
      @Override
      public void write(int value) throws IOException {
        write(new byte[] {(byte) value}, 0, 1);
      }

      @Override
      public void write(byte[] bytes, int from, int length) throws IOException {
        spoken.countDown();
        try {
          out.write(bytes, from, length);
        } catch (IOException e) {
          throw verdict(e);
        }
      }
    };
  }

  private Socket connected() throws SocketException {
    Socket now = carrier;
    if (now == null) {
      throw new SocketException("not connected");
    }
    return now;
  }

  /** Notes how reading ended, unless it was a time-out, which is none. */
  private IOException heard(IOException came) {
    if (came instanceof SocketTimeoutException || tls.isEmpty()) {
      return came;
    }
    IOException explained = tls.get().trouble().explained(came);
    if (explained instanceof TlsException refused) {
      refusal = refused;
    }
    ended.countDown();
    return explained;
  }

  /**
   * Returns why nothing can be written. In TLS 1.3 the broker looks at our certificate after the
   * handshake is over for us: it says no and hangs up, and the reader may hear that a moment after
   * the writer has met a closed door.
   */
  private IOException verdict(IOException came) {
    if (tls.isEmpty()) {
      return came;
    }
    try {
      boolean inTime = ended.await(LONGEST_VERDICT.toNanos(), TimeUnit.NANOSECONDS);
      TlsException refused = refusal;
      return inTime && refused != null ? refused : came;
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
      return came;
    }
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
  static SocketFactory factory(Optional<TlsContext> tls, Consumer<GatedSocket> made) {
    return new SocketFactory() {
      @Override
      public Socket createSocket() {
        GatedSocket socket = new GatedSocket(tls);
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
