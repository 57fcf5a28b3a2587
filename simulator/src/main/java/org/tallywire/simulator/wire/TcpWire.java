package org.tallywire.simulator.wire;

import java.io.IOException;
import java.net.InetAddress;
import java.net.InetSocketAddress;
import java.net.StandardSocketOptions;
import java.nio.ByteBuffer;
import java.nio.channels.SelectionKey;
import java.nio.channels.Selector;
import java.nio.channels.ServerSocketChannel;
import java.nio.channels.SocketChannel;
import org.jspecify.annotations.Nullable;

/**
 * A TCP server on loopback for one client; a new one takes the place of the old (L-37b). Keeps four
 * files open with a client: server, client, and the two of a selector.
 */
public final class TcpWire implements Wire {

  /** How many files it keeps open, with a client. */
  public static final int FILES_EACH = 4;

  private static final byte[] LOOPBACK = {127, 0, 0, 1};
  private static final long WRITE_NANOS = 2_000_000_000L;
  private static final int WRITE_POLL_MILLIS = 50;

  private final int wantedPort;
  private int port;
  private @Nullable Selector selector;
  private @Nullable ServerSocketChannel server;
  private @Nullable SocketChannel client;

  /** A client has gone, and {@link #read} has not said so yet. */
  private boolean clientLeft;

  /** A server that does not listen yet; port 0 takes any that is free. */
  public TcpWire(int port) {
    this.wantedPort = port;
  }

  @Override
  public void plugIn() throws IOException {
    int wanted = port == 0 ? wantedPort : port;
    Selector opened = null;
    ServerSocketChannel listening = null;
    try {
      opened = Selector.open();
      listening = ServerSocketChannel.open();
      listening.setOption(StandardSocketOptions.SO_REUSEADDR, true);
      listening.bind(new InetSocketAddress(InetAddress.getByAddress(LOOPBACK), wanted));
      listening.configureBlocking(false);
      listening.register(opened, SelectionKey.OP_ACCEPT);
      port = ((InetSocketAddress) listening.getLocalAddress()).getPort();
    } catch (IOException failed) {
      closeQuietly(listening);
      closeQuietly(opened);
      throw new IOException(
          "no TCP server can listen on 127.0.0.1:%d: %s%s"
              .formatted(wanted, failed.getMessage(), OpenLimit.advice(failed, FILES_EACH)),
          failed);
    }
    selector = opened;
    server = listening;
  }

  @Override
  public String address() {
    return "tcp 127.0.0.1:" + port;
  }

  @Override
  public boolean attached() {
    return client != null && !clientLeft;
  }

  @Override
  public int read(byte[] into, int millis) throws IOException {
    if (clientLeft) {
      clientLeft = false;
      return -1;
    }
    Selector ready = selector;
    if (ready == null) {
      pass(millis);
      return 0;
    }
    int changed = millis == 0 ? ready.selectNow() : ready.select(millis);
    ready.selectedKeys().clear();
    if (changed == 0) {
      return 0;
    }
    int count = client == null ? 0 : receive(client, into);
    if (count >= 0) {
      accept(ready);
    }
    return count;
  }

  /** The old client may be dead without a sign of it, so the newcomer is believed. */
  private void accept(Selector ready) throws IOException {
    ServerSocketChannel listening = server;
    SocketChannel newcomer = listening == null ? null : listening.accept();
    if (newcomer == null) {
      return;
    }
    if (client != null) {
      System.err.printf("%s: a new client takes the place of the old%n", address());
      dropClient();
    }
    newcomer.configureBlocking(false);
    newcomer.setOption(StandardSocketOptions.TCP_NODELAY, true);
    newcomer.register(ready, SelectionKey.OP_READ);
    client = newcomer;
  }

  /** Looks for a client's end before a newcomer, who may be the same one coming back. */
  private int receive(SocketChannel from, byte[] into) {
    try {
      int count = from.read(ByteBuffer.wrap(into));
      if (count >= 0) {
        return count;
      }
    } catch (IOException reset) {
      System.err.printf("%s: the client is gone: %s%n", address(), reset.getMessage());
    }
    dropClient();
    clientLeft = false;
    return -1;
  }

  @Override
  public void write(byte[] bytes, int offset, int length) {
    SocketChannel to = client;
    ServerSocketChannel listening = server;
    Selector ready = selector;
    if (to == null || listening == null || ready == null) {
      return;
    }
    ByteBuffer left = ByteBuffer.wrap(bytes, offset, length);
    try {
      to.write(left);
      if (left.hasRemaining()) {
        writeRest(to, listening, ready, left);
      }
    } catch (IOException failed) {
      System.err.printf("%s: the client is let go: %s%n", address(), failed.getMessage());
      dropClient();
    }
  }

  /** Waits for room, and for nothing else meanwhile: neither bytes nor a newcomer end the wait. */
  private static void writeRest(
      SocketChannel to, ServerSocketChannel listening, Selector ready, ByteBuffer left)
      throws IOException {
    long deadline = System.nanoTime() + WRITE_NANOS;
    listening.register(ready, 0);
    to.register(ready, SelectionKey.OP_WRITE);
    try {
      while (left.hasRemaining()) {
        if (System.nanoTime() - deadline > 0) {
          throw new IOException("the client takes nothing for 2 s");
        }
        ready.select(WRITE_POLL_MILLIS);
        ready.selectedKeys().clear();
        to.write(left);
      }
      to.register(ready, SelectionKey.OP_READ);
    } finally {
      listening.register(ready, SelectionKey.OP_ACCEPT);
    }
  }

  private void dropClient() {
    SocketChannel gone = client;
    client = null;
    clientLeft |= gone != null;
    closeQuietly(gone);
  }

  @Override
  public void unplug() {
    dropClient();
    closeQuietly(server);
    closeQuietly(selector);
    server = null;
    selector = null;
  }

  private static void closeQuietly(@Nullable AutoCloseable open) {
    try {
      if (open != null) {
        open.close();
      }
    } catch (Exception failed) {
      System.err.printf("closing %s failed: %s%n", open, failed);
    }
  }

  @Override
  public void close() {
    unplug();
  }
}
