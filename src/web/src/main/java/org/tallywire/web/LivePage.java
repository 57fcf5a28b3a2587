package org.tallywire.web;

import io.javalin.Javalin;
import io.javalin.compression.CompressionStrategy;
import io.javalin.config.JavalinConfig;
import io.javalin.http.Context;
import io.javalin.util.JavalinBindException;
import java.io.IOException;
import java.net.InetAddress;
import java.net.URI;
import java.net.UnknownHostException;
import java.time.Duration;
import java.util.Optional;
import org.eclipse.jetty.server.HttpConfiguration;
import org.eclipse.jetty.server.HttpConnectionFactory;
import org.eclipse.jetty.server.Server;
import org.eclipse.jetty.server.ServerConnector;
import org.eclipse.jetty.util.thread.QueuedThreadPool;
import org.jspecify.annotations.Nullable;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.Journal;
import org.tallywire.journal.JournalException;

/**
 * Serves one page, which only watches, and {@code /events}, the journal and the present states as
 * server-sent events, to browsers on this machine.
 *
 * <p>At most {@value Audience#MAX_CLIENTS} event streams at a time. The journal stays the caller's:
 * close this first. All methods may be called from any thread.
 */
public final class LivePage implements AutoCloseable {

  private static final Logger LOG = LoggerFactory.getLogger(LivePage.class);
  private static final Duration LONGEST_CLOSE = Duration.ofSeconds(2);
  // a client that takes not one byte for so long is disconnected; it resumes where it was
  private static final Duration LONGEST_WRITE = Duration.ofSeconds(30);
  // besides the streams: connection acceptor, selectors, and those who fetch the page
  private static final int OTHER_THREADS = 16;

  private final Journal journal;
  private final String host;
  private final int port;
  private final TimeSource time;
  private final Audience audience;
  private final Follower follower;
  private @Nullable Javalin server;
  private boolean closed;

  /**
   * Prepares the page; nothing is opened before {@link #start}.
   *
   * @param host a loopback name or address
   * @param port 0 for any free one
   */
  public LivePage(Journal journal, String host, int port, TimeSource time) {
    this.journal = journal;
    this.host = host;
    this.port = port;
    this.time = time;
    this.audience = new Audience(time);
    this.follower = new Follower(journal, audience, time);
  }

  /**
   * Starts to serve and returns the page's address.
   *
   * @throws IOException if the host is not of this machine alone, or the port is taken
   */
  public synchronized URI start() throws IOException {
    if (closed || server != null) {
      throw new IllegalStateException("a live page starts once");
    }
    InetAddress address = loopback();
    Javalin javalin = Javalin.create(config -> configure(config, address));
    try {
      javalin.start();
    } catch (JavalinBindException e) {
      javalin.stop();
      throw new IOException(
          ("the live page could not listen on %s port %d: %s. Another program has that port, perhaps"
                  + " another bridge; stop it or choose another port (0 takes any free one)")
              .formatted(host, port, e.getMessage()),
          e);
    }
    server = javalin;
    follower.start();
    String name = host.contains(":") && !host.startsWith("[") ? "[" + host + "]" : host;
    return URI.create("http://" + name + ":" + javalin.port() + "/");
  }

  /**
   * Keeps the latest state of a station, or of the bridge, and sends it to every page. Never
   * blocks.
   *
   * @param payload a {@code state} record as JSON; not copied, the caller leaves it unchanged
   */
  public void publishState(String station, byte[] payload) {
    audience.publishState(station, payload);
  }

  /** Ends all streams and stops serving, within about 4 s; calling it again does nothing. */
  @Override
  public synchronized void close() {
    if (closed) {
      return;
    }
    closed = true;
    audience.close();
    try {
      follower.close(LONGEST_CLOSE);
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
    if (server != null) {
      server.stop();
    }
  }

  /** Returns how many event streams are open. */
  int clients() {
    return audience.size();
  }

  private InetAddress loopback() throws IOException {
    InetAddress address;
    try {
      address = InetAddress.getByName(host);
    } catch (UnknownHostException e) {
      throw new IOException(
          "the live page could not be started: the host \"%s\" is not known. Use 127.0.0.1"
              .formatted(host),
          e);
    }
    if (!address.isLoopbackAddress()) {
      throw new IOException(
          ("the live page could not be started on \"%s\" (%s): everybody in that network could read"
                  + " it, and it has no login yet. Use 127.0.0.1")
              .formatted(host, address.getHostAddress()));
    }
    return address;
  }

  private void configure(JavalinConfig config, InetAddress address) {
    config.startup.showJavalinBanner = false;
    config.startup.showOldJavalinVersionWarning = false;
    config.startup.startupWatcherEnabled = false;
    config.http.compressionStrategy = CompressionStrategy.NONE; // would hold events back
    config.router.ignoreTrailingSlashes = false;
    config.jetty.threadPool = threads();
    config.jetty.modifyHttpConfiguration(http -> http.setSendServerVersion(false));
    config.jetty.modifyServer(jetty -> jetty.setStopTimeout(LONGEST_CLOSE.toMillis()));
    config.jetty.addConnector((jetty, http) -> connector(jetty, http, address));
    config.routes.before(Gate::check);
    for (PageFile file : PageFile.all()) {
      config.routes.get(file.path(), file::send);
    }
    config.routes.get("/events", this::events);
    config.routes.head("/events", context -> context.contentType("text/event-stream"));
    config.routes.error(404, LivePage::nothingHere);
  }

  private static QueuedThreadPool threads() {
    QueuedThreadPool threads = new QueuedThreadPool(Audience.MAX_CLIENTS + OTHER_THREADS, 4);
    threads.setName("live-page");
    threads.setDaemon(true);
    return threads;
  }

  private ServerConnector connector(Server jetty, HttpConfiguration http, InetAddress address) {
    ServerConnector connector = new ServerConnector(jetty, 1, 1, new HttpConnectionFactory(http));
    connector.setHost(address.getHostAddress());
    connector.setPort(port);
    connector.setIdleTimeout(LONGEST_WRITE.toMillis());
    connector.setShutdownIdleTimeout(100); // a browser's idle connections need no farewell
    return connector;
  }

  private static void nothingHere(Context context) {
    context.contentType("text/plain; charset=utf-8").result("Here are only / and /events.\n");
  }

  private void events(Context context) throws IOException {
    context.header("Cache-Control", "no-store");
    Optional<Long> after = EventPosition.read(context, journal.head());
    if (after.isEmpty()) {
      return;
    }
    Optional<Mailbox> mailbox = audience.admit();
    if (mailbox.isEmpty()) {
      context.header("Retry-After", "5");
      Gate.refuse(
          context,
          503,
          "There are already "
              + Audience.MAX_CLIENTS
              + " pages connected, or the bridge is stopping. Close one and load this page again");
      return;
    }
    try {
      stream(context, mailbox.get(), after.get());
    } finally {
      audience.leave(mailbox.get());
    }
  }

  private void stream(Context context, Mailbox mailbox, long after) {
    try {
      context.res().setContentType("text/event-stream");
      context.res().flushBuffer();
      new EventStream(journal, audience, mailbox, time, context.res().getOutputStream(), after)
          .run();
    } catch (IOException e) {
      LOG.debug("live page: a client of the event stream has gone: {}", e.toString());
    } catch (JournalException e) {
      LOG.error("live page: an event stream ends; its page will connect again", e);
    } catch (InterruptedException e) {
      Thread.currentThread().interrupt();
    }
  }
}
