package org.tallywire.publish;

import java.nio.file.Path;
import java.time.Instant;
import java.util.List;
import java.util.Optional;

/**
 * How a broker proves who it is, and how we do. TLS 1.2 or later; that the broker's certificate is
 * for the host in its address is always checked.
 *
 * @param authority PEM file with the certificates of the authorities that are trusted, and no
 *     others; if empty, those of the Java installation
 * @param certificate PEM file with our certificate and those above it, ours first
 * @param key PEM file with our private key, PKCS#8, encrypted or not; with a certificate, and only
 *     then
 * @param keyPassword of the key, if it is encrypted
 */
public record Tls(
    Optional<Path> authority,
    Optional<Path> certificate,
    Optional<Path> key,
    Optional<Secret> keyPassword) {

  /** Trusts the authorities of the Java installation and has no certificate of its own. */
  public static final Tls USUAL =
      new Tls(Optional.empty(), Optional.empty(), Optional.empty(), Optional.empty());

  public Tls {
    if (certificate.isPresent() != key.isPresent()) {
      throw new IllegalArgumentException("a certificate and its key come together");
    }
    if (keyPassword.isPresent() && key.isEmpty()) {
      throw new IllegalArgumentException("a key's password needs the key");
    }
  }

  /** What one of the files is for. */
  public enum Part {
    AUTHORITY,
    CERTIFICATE,
    KEY
  }

  /**
   * Something wrong with a file.
   *
   * @param sentence which file, what is wrong in it, what to do
   */
  public record Problem(Part part, String sentence) {}

  /** Reads the files and returns what is wrong with them at a time; empty if they can be used. */
  public List<Problem> problems(Instant now) {
    return TlsFiles.read(this, now).problems();
  }
}
