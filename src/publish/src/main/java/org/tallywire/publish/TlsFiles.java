package org.tallywire.publish;

import java.io.ByteArrayInputStream;
import java.nio.file.Path;
import java.security.PrivateKey;
import java.security.cert.CertificateException;
import java.security.cert.CertificateFactory;
import java.security.cert.X509Certificate;
import java.time.Instant;
import java.util.ArrayList;
import java.util.List;
import java.util.Optional;
import org.jspecify.annotations.Nullable;

/**
 * What the files of a {@link Tls} hold, and what is wrong with them; all files are looked at.
 *
 * @param authorities whom to trust; empty for those of the Java installation
 * @param chain our certificate and those above it; empty if we have none
 * @param key of the first of them
 */
record TlsFiles(
    List<X509Certificate> authorities,
    List<X509Certificate> chain,
    @Nullable PrivateKey key,
    List<Tls.Problem> problems) {

  private static final String CERTIFICATE = "CERTIFICATE";

  static TlsFiles read(Tls tls, Instant now) {
    List<Tls.Problem> problems = new ArrayList<>();
    List<X509Certificate> authorities = certificates(Tls.Part.AUTHORITY, tls.authority(), problems);
    if (!authorities.isEmpty()
        && authorities.stream().allMatch(one -> untimely(one, now) != null)) {
      problems.add(
          new Tls.Problem(
              Tls.Part.AUTHORITY,
              "%s: the certificate of %s; get a new one from who runs the authority"
                  .formatted(tls.authority().orElseThrow(), untimely(authorities.get(0), now))));
    }
    List<X509Certificate> chain = certificates(Tls.Part.CERTIFICATE, tls.certificate(), problems);
    String late = chain.isEmpty() ? null : untimely(chain.get(0), now);
    if (late != null) {
      problems.add(
          new Tls.Problem(
              Tls.Part.CERTIFICATE,
              "%s: our certificate %s; have a new one made"
                  .formatted(tls.certificate().orElseThrow(), late)));
    }
    PrivateKey key = key(tls, chain, problems);
    return new TlsFiles(authorities, chain, key, List.copyOf(problems));
  }

  private static List<X509Certificate> certificates(
      Tls.Part part, Optional<Path> file, List<Tls.Problem> problems) {
    if (file.isEmpty()) {
      return List.of();
    }
    try {
      return certificates(file.get());
    } catch (TlsException e) {
      problems.add(new Tls.Problem(part, String.valueOf(e.getMessage())));
      return List.of();
    }
  }

  private static List<X509Certificate> certificates(Path file) throws TlsException {
    List<Pem.Block> blocks = Pem.read(file);
    List<X509Certificate> certificates = new ArrayList<>();
    for (Pem.Block block : blocks) {
      if (block.label().equals(CERTIFICATE)) {
        certificates.add(certificate(file, block, certificates.size() + 1));
      }
    }
    if (certificates.isEmpty()) {
      throw new TlsException(
          "%s has no certificate but %s; give the file with the line \"-----BEGIN CERTIFICATE-----\""
              .formatted(file, Shown.text(blocks.get(0).label())));
    }
    return certificates;
  }

  private static X509Certificate certificate(Path file, Pem.Block block, int number)
      throws TlsException {
    try {
      CertificateFactory factory = CertificateFactory.getInstance("X.509");
      return (X509Certificate) factory.generateCertificate(new ByteArrayInputStream(block.bytes()));
    } catch (CertificateException | IllegalArgumentException e) {
      throw new TlsException(
          "%s is damaged: its certificate number %d cannot be read (%s)"
              .formatted(file, number, Shown.text(String.valueOf(e.getMessage()))),
          e);
    }
  }

  private static @Nullable PrivateKey key(
      Tls tls, List<X509Certificate> chain, List<Tls.Problem> problems) {
    if (tls.key().isEmpty()) {
      return null;
    }
    Path file = tls.key().get();
    try {
      PrivateKey key = KeyFile.read(file, tls.keyPassword());
      if (!chain.isEmpty() && !KeyFile.belongTogether(key, chain.get(0).getPublicKey())) {
        throw new TlsException(
            ("%s is not the key of the first certificate in %s, which is that of %s; give the key"
                    + " that was made with it, and in the certificate's file our own certificate"
                    + " first")
                .formatted(file, tls.certificate().orElseThrow(), name(chain.get(0))));
      }
      return key;
    } catch (TlsException e) {
      problems.add(new Tls.Problem(Tls.Part.KEY, String.valueOf(e.getMessage())));
      return null;
    }
  }

  /** Says since or until when a certificate does not hold, or null if it does. */
  static @Nullable String untimely(X509Certificate certificate, Instant now) {
    Instant from = certificate.getNotBefore().toInstant();
    Instant until = certificate.getNotAfter().toInstant();
    if (now.isAfter(until)) {
      return "%s expired on %s (this machine's clock says %s)"
          .formatted(name(certificate), until, now);
    }
    if (now.isBefore(from)) {
      return "%s is not valid before %s (this machine's clock says %s)"
          .formatted(name(certificate), from, now);
    }
    return null;
  }

  static String name(X509Certificate certificate) {
    return "\"" + Shown.text(certificate.getSubjectX500Principal().getName()) + "\"";
  }
}
