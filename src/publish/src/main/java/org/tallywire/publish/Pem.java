package org.tallywire.publish;

import java.io.IOException;
import java.io.InputStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.AccessDeniedException;
import java.nio.file.Files;
import java.nio.file.NoSuchFileException;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.Base64;
import java.util.List;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/** The blocks of a PEM file (RFC 7468). */
final class Pem {

  /** Larger than every bundle of authorities. */
  private static final int LARGEST_FILE = 4 * 1024 * 1024;

  private static final Pattern BLOCK =
      Pattern.compile("-----BEGIN ([A-Z0-9 ]+)-----([^-]*)-----END \\1-----");

  private Pem() {}

  /**
   * One block.
   *
   * @param label what it says it is, such as CERTIFICATE
   * @param base64 its body as it stands there
   */
  record Block(String label, String base64) {

    /**
     * @throws IllegalArgumentException if it is no base 64
     */
    byte[] bytes() {
      return Base64.getDecoder().decode(base64.replaceAll("\\s", ""));
    }
  }

  /**
   * Reads all blocks of a file, at least one.
   *
   * @throws TlsException whose message begins with the file's name
   */
  static List<Block> read(Path file) throws TlsException {
    byte[] bytes = bytes(file);
    Matcher matcher = BLOCK.matcher(new String(bytes, StandardCharsets.ISO_8859_1));
    List<Block> blocks = new ArrayList<>();
    while (matcher.find()) {
      blocks.add(new Block(matcher.group(1), matcher.group(2)));
    }
    if (blocks.isEmpty()) {
      throw new TlsException(file + " is not PEM: " + otherwise(bytes, file));
    }
    return blocks;
  }

  private static byte[] bytes(Path file) throws TlsException {
    try (InputStream in = Files.newInputStream(file)) {
      byte[] bytes = in.readNBytes(LARGEST_FILE + 1);
      if (bytes.length > LARGEST_FILE) {
        throw new TlsException("%s is larger than %d bytes".formatted(file, LARGEST_FILE));
      }
      return bytes;
    } catch (NoSuchFileException e) {
      throw new TlsException(file + " is not there", e);
    } catch (AccessDeniedException e) {
      throw new TlsException(file + " may not be read by this user", e);
    } catch (TlsException e) {
      throw e;
    } catch (IOException e) {
      throw new TlsException("%s cannot be read: %s".formatted(file, e.getMessage()), e);
    }
  }

  /** Says what a file is that has no whole block; never what stands in it, which may be a key. */
  private static String otherwise(byte[] bytes, Path file) {
    if (bytes.length == 0) {
      return "it is empty";
    }
    // ASN.1 SEQUENCE: the binary form of certificates and keys
    if (bytes[0] == 0x30) {
      return ("it is in the binary form (DER or PKCS#12). Convert a certificate with: openssl x509"
              + " -inform der -in %1$s -out NEW.pem; a key with: openssl pkey -inform der -in %1$s"
              + " -out NEW.key; a PKCS#12 file with: openssl pkcs12 -in %1$s")
          .formatted(file);
    }
    String text = new String(bytes, StandardCharsets.ISO_8859_1);
    return text.contains("-----BEGIN")
        ? "its block has no end line that fits; it may be cut off"
        : "it has no line \"-----BEGIN …-----\"";
  }
}
