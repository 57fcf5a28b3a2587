package org.tallywire.publish;

import java.io.ByteArrayOutputStream;
import java.io.FilterInputStream;
import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.net.InetAddress;
import java.net.Socket;
import java.net.SocketException;

/**
 * Lies between a connection and TLS and sends what belongs together at once, until told otherwise.
 * A broker that does not like our certificate says why and hangs up; if a part of the handshake
 * were still to be written then, Java would report the closed connection and never read the reason.
 */
final class FlightSocket extends Socket {

  private final Socket plain;
  private final ByteArrayOutputStream flight = new ByteArrayOutputStream();
  private volatile boolean gathering = true;

  FlightSocket(Socket plain) {
    this.plain = plain;
  }

  /** Sends what is gathered and gathers no more; after the handshake, on the same thread. */
  void release() throws IOException {
    gathering = false;
    send();
  }

  private void send() throws IOException {
    if (flight.size() > 0) {
      byte[] whole = flight.toByteArray();
      flight.reset();
      plain.getOutputStream().write(whole);
    }
  }

  @Override
  public InputStream getInputStream() throws IOException {
    return new FilterInputStream(plain.getInputStream()) {
      @Override
      public int read() throws IOException {
        sendIfGathering();
        return in.read();
      }

      @Override
      public int read(byte[] bytes, int from, int length) throws IOException {
        sendIfGathering();
        return in.read(bytes, from, length);
      }
    };
  }

  private void sendIfGathering() throws IOException {
    if (gathering) {
      send();
    }
  }

  @Override
  public OutputStream getOutputStream() throws IOException {
    OutputStream out = plain.getOutputStream();
    return new OutputStream() {
      @Override
      public void write(int value) throws IOException {
        write(new byte[] {(byte) value}, 0, 1);
      }

      @Override
      public void write(byte[] bytes, int from, int length) throws IOException {
        if (gathering) {
          flight.write(bytes, from, length);
        } else {
          out.write(bytes, from, length);
        }
      }
    };
  }

  /** Closes the connection; what is gathered, such as our own refusal, goes out before. */
  @Override
  public synchronized void close() throws IOException {
    try (plain) {
      sendIfGathering();
    }
  }

  @Override
  public boolean isConnected() {
    return plain.isConnected();
  }

  @Override
  public boolean isClosed() {
    return plain.isClosed();
  }

  @Override
  public InetAddress getInetAddress() {
    return plain.getInetAddress();
  }

  @Override
  public int getPort() {
    return plain.getPort();
  }

  @Override
  public synchronized void setSoTimeout(int millis) throws SocketException {
    plain.setSoTimeout(millis);
  }

  @Override
  public synchronized int getSoTimeout() throws SocketException {
    return plain.getSoTimeout();
  }
}
