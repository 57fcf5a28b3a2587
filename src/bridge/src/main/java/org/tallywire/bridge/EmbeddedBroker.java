package org.tallywire.bridge;

import io.moquette.broker.Server;
import io.moquette.broker.config.MemoryConfig;
import java.io.IOException;
import java.time.Duration;
import java.util.Properties;
import java.util.concurrent.locks.LockSupport;

/**
 * An MQTT 3.1.1 broker inside this process, for the demo alone: on the loopback address, in memory,
 * without accounts.
 */
final class EmbeddedBroker implements AutoCloseable {

  private static final String HOST = "127.0.0.1";

  /** The longest record with its topic; a test set carries its whole table of criteria. */
  private static final int LONGEST_MESSAGE = 2 * 1024 * 1024;

  private static final Duration PORT_LIMIT = Duration.ofSeconds(5);
  private static final Duration CLOSE_LIMIT = Duration.ofMillis(200);

  private final Server server = new Server();
  private boolean running;

  /**
   * Starts it.
   *
   * @param port 0 for any free one
   * @return its address
   * @throws IOException if the port is taken
   */
  String start(int port) throws IOException {
    Properties properties = new Properties();
    properties.setProperty("host", HOST);
    properties.setProperty("port", Integer.toString(port));
    properties.setProperty("allow_anonymous", "true");
    properties.setProperty("persistence_enabled", "false");
    properties.setProperty("telemetry_enabled", "false");
    properties.setProperty("allow_zero_byte_client_id", "true");
    properties.setProperty("netty.epoll", "false");
    properties.setProperty("netty.mqtt.message_size", Integer.toString(LONGEST_MESSAGE));
    server.startServer(new MemoryConfig(properties));
    running = true;
    return "tcp://%s:%d".formatted(HOST, boundPort());
  }

  /** Returns the port in use; the server learns it a moment after it has started. */
  private int boundPort() throws IOException {
    long deadline = System.nanoTime() + PORT_LIMIT.toNanos();
    while (server.getPort() == 0) {
      if (System.nanoTime() - deadline > 0) {
        throw new IOException("no port within " + PORT_LIMIT);
      }
      LockSupport.parkNanos(PORT_LIMIT.toNanos() / 1_000);
    }
    return server.getPort();
  }

  /** Stops it; what it holds is in memory and worth no longer wait than a moment. */
  @Override
  public void close() {
    if (!running) {
      return;
    }
    running = false;
    Thread stopping = new Thread(server::stopServer, "broker stop");
    stopping.setDaemon(true);
    stopping.start();
    try {
      stopping.join(CLOSE_LIMIT.toMillis());
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }
}
