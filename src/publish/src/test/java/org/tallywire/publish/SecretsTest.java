package org.tallywire.publish;

import static org.awaitility.Awaitility.await;
import static org.junit.jupiter.api.Assertions.assertFalse;
import static org.junit.jupiter.api.Assertions.assertTrue;

import ch.qos.logback.classic.Level;
import ch.qos.logback.classic.Logger;
import ch.qos.logback.classic.spi.ILoggingEvent;
import ch.qos.logback.classic.spi.IThrowableProxy;
import ch.qos.logback.classic.spi.ThrowableProxyUtil;
import ch.qos.logback.core.AppenderBase;
import java.io.PrintWriter;
import java.io.StringWriter;
import java.nio.file.Files;
import java.nio.file.Path;
import java.text.MessageFormat;
import java.time.Duration;
import java.util.Arrays;
import java.util.Optional;
import java.util.Queue;
import java.util.Set;
import java.util.concurrent.ConcurrentLinkedQueue;
import java.util.logging.Handler;
import java.util.logging.LogRecord;
import org.junit.jupiter.api.Test;
import org.junit.jupiter.api.Timeout;
import org.junit.jupiter.api.io.TempDir;
import org.junit.jupiter.api.parallel.Isolated;
import org.slf4j.LoggerFactory;
import org.tallywire.api.TimeSource;
import org.tallywire.journal.Journal;

/** Everything that anybody logs, at the finest level, while secrets are used and refused. */
@Isolated("turns every logger of the process to its finest level")
@Timeout(90)
class SecretsTest {

  private static final Duration SOON = Duration.ofSeconds(20);
  private static final String PASSWORD = "invented-Password-71";
  private static final String WRONG = "invented-Wrong-72";
  private static final String KEY_PASSWORD = "invented-Key-73";

  @TempDir private Path folder;
  private final Queue<String> said = new ConcurrentLinkedQueue<>();
  private final Heard heard = new Heard();

  @Test
  void noSecretIsLoggedToldOrThrown() throws Exception {
    Mosquitto.require();
    Programs.require("openssl", "sh");
    Authority authority = Authority.make(folder.resolve("authority"));
    authority.shell(
        "openssl pkcs8 -topk8 -passout pass:%s -in bridge-hollow-lane.key -out locked.key"
            .formatted(KEY_PASSWORD));
    Logger root = (Logger) LoggerFactory.getLogger(org.slf4j.Logger.ROOT_LOGGER_NAME);
    java.util.logging.Logger jul = java.util.logging.Logger.getLogger("");
    Collector collector = new Collector();
    Bridge bridge = new Bridge();
    Level usual = root.getLevel();
    java.util.logging.Level usualJul = jul.getLevel();
    collector.start();
    root.addAppender(collector);
    jul.addHandler(bridge);
    // the console would show megabytes
    root.getAppender("err").stop();
    root.setLevel(Level.TRACE);
    jul.setLevel(java.util.logging.Level.ALL);
    try {
      useThem(authority);
    } finally {
      root.setLevel(usual);
      jul.setLevel(usualJul);
      root.detachAppender(collector);
      jul.removeHandler(bridge);
      root.getAppender("err").start();
    }
    assertTrue(said.stream().anyMatch(one -> one.contains("paho")), "the library was heard");
    assertTrue(said.stream().anyMatch(one -> one.contains("is another one")), "all was tried");
    String lines = keyLines(authority);
    for (String one : said) {
      for (String secret : new String[] {PASSWORD, WRONG, KEY_PASSWORD, lines}) {
        assertFalse(one.contains(secret), one);
        assertFalse(one.contains(Arrays.toString(secret.toCharArray())), one);
      }
    }
  }

  private void useThem(Authority authority) throws Exception {
    try (Journal journal = Journal.open(folder.resolve("journal"), TimeSource.system());
        Mosquitto broker = Mosquitto.start(folder, Mosquitto.freePort(), "bench", PASSWORD);
        SharedBroker secured = SharedBroker.start(folder.resolve("secured"), authority)) {
      Bench.append(journal, "a", 3);
      use(
          journal,
          Bench.address(broker.port(), Optional.of("bench"), secret(WRONG)),
          BrokerState.REFUSED);
      use(
          journal,
          Bench.address(broker.port(), Optional.of("bench"), secret(PASSWORD)),
          BrokerState.CONNECTED);
      use(journal, secured(authority, secured, secret(KEY_PASSWORD)), BrokerState.CONNECTED);
      use(journal, secured(authority, secured, secret(WRONG)), BrokerState.REFUSED);
    }
  }

  private void use(Journal journal, BrokerAddress address, BrokerState wanted) throws Exception {
    said.add(address.toString());
    heard.clear();
    try (Publisher publisher =
        new Publisher(
            journal, address, Bench.DOWN, TimeSource.system(), heard, SharedBroker.PATIENT)) {
      publisher.start();
      await().atMost(SOON).until(() -> heard.heard(wanted));
    }
    said.add(heard.toString());
  }

  private static BrokerAddress secured(
      Authority authority, SharedBroker broker, Optional<Secret> keyPassword) {
    Tls tls =
        new Tls(
            Optional.of(authority.file("ca.pem")),
            Optional.of(authority.file("bridge-hollow-lane.pem")),
            Optional.of(authority.file("locked.key")),
            keyPassword);
    return new BrokerAddress(
        broker.uri(),
        "secrets",
        Optional.of("bench"),
        Optional.of(new Secret(PASSWORD.toCharArray())),
        "tallywire",
        "hollow-lane",
        Optional.of(tls),
        Set.of());
  }

  private static Optional<Secret> secret(String text) {
    return Optional.of(new Secret(text.toCharArray()));
  }

  /** A line of the private key itself. */
  private static String keyLines(Authority authority) throws Exception {
    return Files.readAllLines(authority.file("bridge-hollow-lane.key")).get(1);
  }

  /** Takes what is logged through SLF4J. */
  private final class Collector extends AppenderBase<ILoggingEvent> {
    @Override
    protected void append(ILoggingEvent event) {
      IThrowableProxy thrown = event.getThrowableProxy();
      said.add(
          event.getLoggerName()
              + " "
              + event.getFormattedMessage()
              + (thrown == null ? "" : ThrowableProxyUtil.asString(thrown)));
    }
  }

  /** Takes what is logged through java.util.logging: the MQTT library's and Java's own. */
  private final class Bridge extends Handler {
    @Override
    public void publish(LogRecord event) {
      StringWriter text = new StringWriter();
      text.append(event.getLoggerName()).append(' ').append(event.getMessage());
      Object[] parameters = event.getParameters();
      if (parameters != null) {
        text.append(' ').append(Arrays.deepToString(parameters));
      }
      if (event.getResourceBundle() != null
          && event.getResourceBundle().containsKey(event.getMessage())) {
        text.append(
            MessageFormat.format(
                event.getResourceBundle().getString(event.getMessage()), parameters));
      }
      if (event.getThrown() != null) {
        event.getThrown().printStackTrace(new PrintWriter(text));
      }
      said.add(text.toString());
    }

    @Override
    public void flush() {}

    @Override
    public void close() {}
  }
}
