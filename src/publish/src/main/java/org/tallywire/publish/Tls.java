package org.tallywire.publish;

import java.nio.file.Path;
import java.util.Optional;

/**
 * How a broker proves who it is, and how we do.
 *
 * @param authority PEM file with the certificates of the authorities that are trusted, and no
 *     others; if empty, those of the Java installation
 * @param certificate PEM file with our certificate and those above it
 * @param key PEM file with our private key, PKCS#8, encrypted or not; only with a certificate
 * @param keyPassword of the key, if it is encrypted
 */
public record Tls(
    Optional<Path> authority,
    Optional<Path> certificate,
    Optional<Path> key,
    Optional<Secret> keyPassword) {}
