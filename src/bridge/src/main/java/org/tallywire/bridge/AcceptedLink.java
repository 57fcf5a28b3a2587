package org.tallywire.bridge;

import java.io.IOException;
import java.io.InputStream;
import java.io.OutputStream;
import java.net.Socket;
import java.net.SocketTimeoutException;
import java.time.Duration;
import org.tallywire.api.FaultCode;
import org.tallywire.api.Link;
import org.tallywire.api.LinkException;

/** A TCP connection that the other side opened, as a link. */
final class AcceptedLink implements Link {

  private final Socket socket;
  private final InputStream in;
  private final OutputStream out;

  AcceptedLink(Socket socket) throws IOException {
    this.socket = socket;
    socket.setTcpNoDelay(true);
    this.in = socket.getInputStream();
    this.out = socket.getOutputStream();
  }

  @Override
  public int read(byte[] buffer, Duration wait) throws LinkException {
    try {
      socket.setSoTimeout((int) Math.max(1, wait.toMillis()));
      int count = in.read(buffer);
      if (count < 0) {
        throw new LinkException(FaultCode.LINK_LOST, "the other side closed the connection");
      }
      return count;
    } catch (SocketTimeoutException e) {
      return 0;
    } catch (LinkException e) {
      throw e;
    } catch (IOException e) {
      throw new LinkException(FaultCode.LINK_LOST, "reading: " + e.getMessage(), e);
    }
  }

  @Override
  public void write(byte[] bytes) throws LinkException {
    try {
      out.write(bytes);
      out.flush();
    } catch (IOException e) {
      throw new LinkException(FaultCode.LINK_LOST, "writing: " + e.getMessage(), e);
    }
  }

  @Override
  public void close() {
    try {
      socket.close();
    } catch (IOException e) {
      // there is nothing left to do with a socket that cannot be closed
    }
  }
}
