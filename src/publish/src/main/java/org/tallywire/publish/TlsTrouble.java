package org.tallywire.publish;

import java.io.IOException;
import java.security.cert.CertificateException;
import java.security.cert.X509Certificate;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;
import javax.net.ssl.SSLException;

/** Tells trouble that only a changed setting ends from trouble that may pass by itself. */
final class TlsTrouble {

  private static final Pattern ALERT = Pattern.compile("Received fatal alert: (\\w+)");

  private final String host;
  private final int port;
  private final Optional<X509Certificate> ours;

  TlsTrouble(String host, int port, Optional<X509Certificate> ours) {
    this.host = host;
    this.port = port;
    this.ours = ours;
  }

  /** Returns a {@link TlsException} with a sentence, or what came if that may pass by itself. */
  IOException explained(IOException came) {
    if (!(came instanceof SSLException)) {
      return came;
    }
    for (Throwable cause = came; cause != null; cause = cause.getCause()) {
      if (cause instanceof CertificateException untrusted) {
        return new TlsException(String.valueOf(untrusted.getMessage()), came);
      }
    }
    String message = String.valueOf(came.getMessage());
    Matcher alert = ALERT.matcher(message);
    if (alert.find()) {
      return alerted(alert.group(1)).<IOException>map(s -> new TlsException(s, came)).orElse(came);
    }
    if (message.contains("Unsupported or unrecognized SSL message")) {
      return new TlsException(
          ("what answers at %s port %d does not speak TLS; give the port of the broker's TLS"
                  + " listener (usually 8883)")
              .formatted(host, port),
          came);
    }
    return came;
  }

  /** The broker's alert (RFC 8446, 6.2), where it is about certificates or settings. */
  private Optional<String> alerted(String alert) {
    String sentence =
        switch (alert) {
          case "certificate_required", "handshake_failure", "no_certificate" ->
              ours.isEmpty()
                  ? "the broker wants a certificate from us; give one with tls: certificate and key"
                  : ("the broker accepts no certificate like ours, %s; it must come from an"
                          + " authority that the broker trusts (mosquitto: cafile)")
                      .formatted(described());
          case "unknown_ca" ->
              ("the broker does not know the authority of our certificate, %s; put that authority's"
                      + " certificate where the broker looks (mosquitto: cafile)")
                  .formatted(described());
          case "certificate_revoked" ->
              "our certificate, %s, is revoked at the broker; have a new one made"
                  .formatted(described());
          case "certificate_expired" ->
              "our certificate, %s, has expired by the broker's clock; have a new one made"
                  .formatted(described());
          case "bad_certificate", "unsupported_certificate", "certificate_unknown" ->
              "the broker does not accept our certificate, %s; its log says why"
                  .formatted(described());
          case "access_denied" -> "the broker denies us access; its log says why";
          case "protocol_version", "insufficient_security" ->
              "the broker does not speak TLS 1.2 or later; it must be set to";
          case "unrecognized_name" ->
              "the broker knows no host \"%s\"; write the name there that its certificate has"
                  .formatted(host);
          default -> "";
        };
    return sentence.isEmpty()
        ? Optional.empty()
        : Optional.of(sentence + " (TLS alert " + alert + ")");
  }

  private String described() {
    return ours.map(
            one ->
                "%s from \"%s\", valid until %s"
                    .formatted(
                        TlsFiles.name(one),
                        Shown.text(one.getIssuerX500Principal().getName()),
                        one.getNotAfter().toInstant()))
        .orElse("of which there is none");
  }
}
