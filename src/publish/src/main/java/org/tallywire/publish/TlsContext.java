package org.tallywire.publish;

import java.io.IOException;
import java.net.Socket;
import java.net.SocketTimeoutException;
import java.nio.file.Path;
import java.security.GeneralSecurityException;
import java.security.KeyStore;
import java.security.PrivateKey;
import java.security.cert.Certificate;
import java.security.cert.X509Certificate;
import java.time.Duration;
import java.time.Instant;
import java.util.List;
import java.util.Optional;
import java.util.stream.Collectors;
import javax.net.ssl.KeyManager;
import javax.net.ssl.KeyManagerFactory;
import javax.net.ssl.SSLContext;
import javax.net.ssl.SSLParameters;
import javax.net.ssl.SSLSocket;
import javax.net.ssl.TrustManager;
import javax.net.ssl.TrustManagerFactory;
import javax.net.ssl.X509ExtendedTrustManager;
import org.jspecify.annotations.Nullable;

/** Speaks TLS over a connection to one broker, with our trust and our certificate only. */
final class TlsContext {

  private static final String[] VERSIONS = {"TLSv1.3", "TLSv1.2"};
  private static final Duration VERDICT = Duration.ofMillis(250);
  private static final char[] IN_MEMORY = "in memory only".toCharArray();

  private final SSLContext context;
  private final TlsTrouble trouble;
  private final String host;
  private final int port;
  private final Optional<X509Certificate> ours;

  private TlsContext(SSLContext context, String host, int port, Optional<X509Certificate> ours) {
    this.context = context;
    this.trouble = new TlsTrouble(host, port, ours);
    this.host = host;
    this.port = port;
    this.ours = ours;
  }

  /**
   * Reads the files.
   *
   * @throws TlsException with everything that is wrong with them
   */
  static TlsContext load(Tls tls, String host, int port, Instant now) throws TlsException {
    TlsFiles files = TlsFiles.read(tls, now);
    if (!files.problems().isEmpty()) {
      throw new TlsException(
          files.problems().stream().map(Tls.Problem::sentence).collect(Collectors.joining(". ")));
    }
    String authorities =
        tls.authority().map(Path::toString).orElse("those of the Java installation");
    try {
      SSLContext context = SSLContext.getInstance("TLS");
      TrustManager trust = new BrokerTrust(trust(files.authorities()), host, authorities);
      context.init(keys(files), new TrustManager[] {trust}, null);
      return new TlsContext(context, host, port, files.chain().stream().findFirst());
    } catch (GeneralSecurityException | IOException e) {
      throw new TlsException("TLS cannot be set up with these files: " + e, e);
    }
  }

  /**
   * Does the handshake over a connected socket, for at most its read time-out at a time, and
   * returns the secured one; closing the plain one ends both at once.
   *
   * @throws TlsException if a setting must be changed, on either side
   */
  Socket over(Socket plain) throws IOException {
    FlightSocket flights = new FlightSocket(plain);
    SSLSocket secured =
        (SSLSocket) context.getSocketFactory().createSocket(flights, host, port, true);
    SSLParameters parameters = secured.getSSLParameters();
    parameters.setProtocols(VERSIONS);
    // with it the library compares the certificate's names with the host: the rules of RFC 2818
    parameters.setEndpointIdentificationAlgorithm("HTTPS");
    secured.setSSLParameters(parameters);
    try {
      secured.startHandshake();
      flights.release();
      awaitVerdict(plain, secured);
    } catch (IOException e) {
      throw trouble.explained(e);
    }
    return secured;
  }

  /**
   * Gives the broker a moment to say no. In TLS 1.3 it looks at our certificate when the handshake
   * is over for us; who sends at once meets a closed door, and may never hear why.
   */
  private static void awaitVerdict(Socket plain, SSLSocket secured) throws IOException {
    if (!secured.getSession().getProtocol().equals("TLSv1.3")) {
      return;
    }
    int usual = plain.getSoTimeout();
    plain.setSoTimeout((int) VERDICT.toMillis());
    try {
      int early = secured.getInputStream().read();
      throw new IOException(
          early < 0
              ? "the broker ended the connection right after the handshake"
              : "what answers speaks before it is spoken to, which no MQTT broker does");
    } catch (SocketTimeoutException e) {
      plain.setSoTimeout(usual); // no objection
    }
  }

  /** Returns our certificate. */
  Optional<X509Certificate> ours() {
    return ours;
  }

  TlsTrouble trouble() {
    return trouble;
  }

  private static X509ExtendedTrustManager trust(List<X509Certificate> authorities)
      throws GeneralSecurityException, IOException {
    KeyStore store = null;
    if (!authorities.isEmpty()) {
      store = emptyStore();
      for (int i = 0; i < authorities.size(); i++) {
        store.setCertificateEntry("authority-" + i, authorities.get(i));
      }
    }
    TrustManagerFactory factory =
        TrustManagerFactory.getInstance(TrustManagerFactory.getDefaultAlgorithm());
    factory.init(store);
    for (TrustManager one : factory.getTrustManagers()) {
      if (one instanceof X509ExtendedTrustManager extended) {
        return extended;
      }
    }
    throw new GeneralSecurityException("this Java has no trust manager for X.509");
  }

  private static KeyManager @Nullable [] keys(TlsFiles files)
      throws GeneralSecurityException, IOException {
    PrivateKey key = files.key();
    if (key == null) {
      return null;
    }
    KeyStore store = emptyStore();
    store.setKeyEntry("ours", key, IN_MEMORY, files.chain().toArray(new Certificate[0]));
    KeyManagerFactory factory =
        KeyManagerFactory.getInstance(KeyManagerFactory.getDefaultAlgorithm());
    factory.init(store, IN_MEMORY);
    return factory.getKeyManagers();
  }

  private static KeyStore emptyStore() throws GeneralSecurityException, IOException {
    KeyStore store = KeyStore.getInstance("PKCS12");
    store.load(null, null);
    return store;
  }
}
