package org.tallywire.publish;

import java.security.cert.X509Certificate;
import java.time.Duration;
import java.time.Instant;
import java.util.Optional;
import org.slf4j.Logger;
import org.slf4j.LoggerFactory;
import org.tallywire.api.TimeSource;

/**
 * What TLS needs, read anew for every connection, so that a renewed certificate needs no restart;
 * and the reminder that ours is about to expire. Used by the publisher's thread.
 */
final class Credentials {

  private static final Logger LOG = LoggerFactory.getLogger(Credentials.class);

  /** How long before our certificate's end it is spoken of. */
  static final Duration AHEAD = Duration.ofDays(30);

  private static final Duration REMIND_EVERY = Duration.ofDays(1);

  private final BrokerAddress broker;
  private final TimeSource time;
  private Optional<X509Certificate> ours = Optional.empty();
  private boolean reminded;
  private long remindedAt;
  private long lookedAt;

  Credentials(BrokerAddress broker, TimeSource time) {
    this.broker = broker;
    this.time = time;
    this.lookedAt = time.nanos();
  }

  /**
   * Reads the files; empty for a broker without TLS.
   *
   * @throws BrokerException if they are wrong now; that is a fault of the settings
   */
  Optional<TlsContext> load() throws BrokerException {
    Optional<Tls> tls = broker.tls();
    if (tls.isEmpty()) {
      return Optional.empty();
    }
    try {
      TlsContext context = TlsContext.load(tls.get(), broker.host(), broker.port(), time.now());
      ours = context.ours();
      lookedAt = time.nanos();
      remind();
      return Optional.of(context);
    } catch (TlsException e) {
      throw BrokerException.from("TLS", e);
    }
  }

  /** Looks at the files once a day while a connection lasts; returns whether there is news. */
  boolean daily() {
    if (broker.tls().isEmpty() || time.nanos() - lookedAt < REMIND_EVERY.toNanos()) {
      return false;
    }
    lookedAt = time.nanos();
    try {
      load();
    } catch (BrokerException e) {
      LOG.warn("the next connection to broker {} will fail: {}", broker.uri(), e.getMessage());
    }
    return true;
  }

  /** Returns a sentence, with a space before it, while our certificate ends soon; else nothing. */
  String notice() {
    return ending().map(sentence -> " " + sentence).orElse("");
  }

  private void remind() {
    long now = time.nanos();
    Optional<String> ending = ending();
    if (ending.isPresent() && (!reminded || now - remindedAt >= REMIND_EVERY.toNanos())) {
      reminded = true;
      remindedAt = now;
      LOG.warn("{}", ending.get());
    }
  }

  private Optional<String> ending() {
    Instant now = time.now();
    return ours.filter(one -> one.getNotAfter().toInstant().isAfter(now))
        .filter(one -> one.getNotAfter().toInstant().isBefore(now.plus(AHEAD)))
        .map(
            one ->
                "Our certificate %s expires on %s, in %d days: have a new one made and put it in the same file"
                    .formatted(
                        TlsFiles.name(one),
                        one.getNotAfter().toInstant(),
                        Duration.between(now, one.getNotAfter().toInstant()).toDays()));
  }
}
