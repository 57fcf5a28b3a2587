package org.tallywire.publish;

import java.net.Socket;
import java.security.cert.CertificateException;
import java.security.cert.X509Certificate;
import java.time.Instant;
import java.util.Collection;
import java.util.List;
import java.util.stream.Collectors;
import javax.net.ssl.SSLEngine;
import javax.net.ssl.X509ExtendedTrustManager;
import org.jspecify.annotations.Nullable;

/**
 * Decides as the Java library does, host name included, and says in a sentence why not: nothing
 * here can let a certificate through that the library refuses.
 */
final class BrokerTrust extends X509ExtendedTrustManager {

  private static final int DNS_NAME = 2;
  private static final int IP_ADDRESS = 7;

  private final X509ExtendedTrustManager library;
  private final String host;
  private final String authorities;

  /**
   * @param host as it stands in the broker's address
   * @param authorities where those that are trusted stand
   */
  BrokerTrust(X509ExtendedTrustManager library, String host, String authorities) {
    this.library = library;
    this.host = host;
    this.authorities = authorities;
  }

  @Override
  public void checkServerTrusted(X509Certificate[] chain, String type, Socket socket)
      throws CertificateException {
    try {
      library.checkServerTrusted(chain, type, socket);
    } catch (CertificateException e) {
      throw new CertificateException(why(chain, type, e), e);
    }
  }

  @Override
  public void checkServerTrusted(X509Certificate[] chain, String type, SSLEngine engine)
      throws CertificateException {
    library.checkServerTrusted(chain, type, engine);
  }

  @Override
  public void checkServerTrusted(X509Certificate[] chain, String type) throws CertificateException {
    // without a connection there is no host name to check
    throw new CertificateException("a broker's certificate is only checked on its connection");
  }

  @Override
  public void checkClientTrusted(X509Certificate[] chain, String type) throws CertificateException {
    throw new CertificateException("nobody connects to us");
  }

  @Override
  public void checkClientTrusted(X509Certificate[] chain, String type, Socket socket)
      throws CertificateException {
    checkClientTrusted(chain, type);
  }

  @Override
  public void checkClientTrusted(X509Certificate[] chain, String type, SSLEngine engine)
      throws CertificateException {
    checkClientTrusted(chain, type);
  }

  @Override
  public X509Certificate[] getAcceptedIssuers() {
    return library.getAcceptedIssuers();
  }

  private String why(X509Certificate[] chain, String type, CertificateException refusal) {
    X509Certificate broker = chain[0];
    String late = TlsFiles.untimely(broker, Instant.now());
    if (late != null) {
      return "the broker's certificate %s; have it renewed at the broker".formatted(late);
    }
    if (isTrustedApartFromItsHost(chain, type)) {
      return ("the broker's certificate is for %s and not for \"%s\", which the address of the"
              + " broker says; write a name there that the certificate has, or have a certificate"
              + " made with this one")
          .formatted(names(broker), host);
    }
    return ("the broker's certificate %s comes from %s, and no authority in %s vouches for it (%s);"
            + " if this is your broker, put its authority's certificate into tls: authority, and if"
            + " not, find out who answers there")
        .formatted(
            TlsFiles.name(broker),
            "\"" + Shown.text(broker.getIssuerX500Principal().getName()) + "\"",
            authorities,
            Shown.text(String.valueOf(refusal.getMessage())));
  }

  private boolean isTrustedApartFromItsHost(X509Certificate[] chain, String type) {
    try {
      library.checkServerTrusted(chain, type);
      return true;
    } catch (CertificateException e) {
      return false;
    }
  }

  private static String names(X509Certificate certificate) {
    String names = "";
    try {
      @Nullable Collection<List<?>> all = certificate.getSubjectAlternativeNames();
      if (all != null) {
        names =
            all.stream()
                .filter(one -> one.get(0).equals(DNS_NAME) || one.get(0).equals(IP_ADDRESS))
                .map(one -> "\"" + one.get(1) + "\"")
                .collect(Collectors.joining(", "));
      }
    } catch (CertificateException e) {
      names = ""; // unreadable names are none
    }
    return names.isEmpty() ? TlsFiles.name(certificate) : Shown.text(names);
  }
}
