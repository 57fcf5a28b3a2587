package org.tallywire.report;

import java.nio.charset.StandardCharsets;
import java.security.GeneralSecurityException;
import java.security.KeyFactory;
import java.security.KeyPair;
import java.security.KeyPairGenerator;
import java.security.PrivateKey;
import java.security.PublicKey;
import java.security.spec.PKCS8EncodedKeySpec;
import java.security.spec.X509EncodedKeySpec;
import java.util.Base64;
import java.util.HexFormat;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * A shop's Ed25519 key as text: PEM with the private key (PKCS#8), which stays secret, and the
 * public key (X.509), which everybody may have. Stateless, for any thread.
 */
public final class ShopKey {

  private static final Pattern PUBLIC = Pattern.compile("302a300506032b6570032100[0-9a-f]{64}");
  private static final byte[] PROBE = new byte[32];

  private ShopKey() {}

  /** Makes a new key. */
  public static KeyPair make() throws GeneralSecurityException {
    return KeyPairGenerator.getInstance(Signing.ALGORITHM).generateKeyPair();
  }

  /** Returns a key as PEM, private and public. */
  public static String text(KeyPair key) {
    return block("PRIVATE KEY", key.getPrivate().getEncoded())
        + block("PUBLIC KEY", key.getPublic().getEncoded());
  }

  /** Returns the public key as it stands in seals: X.509, hexadecimal digits. */
  public static String named(KeyPair key) {
    return Signing.named(Optional.of(key));
  }

  /**
   * Reads a key from PEM with both its parts.
   *
   * @throws GeneralSecurityException with a sentence, if it is not that, or the parts do not belong
   *     together
   */
  public static KeyPair read(String pem) throws GeneralSecurityException {
    Optional<byte[]> secret = content(pem, "PRIVATE KEY");
    Optional<byte[]> open = content(pem, "PUBLIC KEY");
    if (secret.isEmpty() || open.isEmpty()) {
      throw new GeneralSecurityException(
          "it has not both a PRIVATE KEY and a PUBLIC KEY in PEM; tallywire key new makes such a"
              + " file");
    }
    KeyFactory factory = KeyFactory.getInstance(Signing.ALGORITHM);
    PrivateKey secretKey = factory.generatePrivate(new PKCS8EncodedKeySpec(secret.get()));
    PublicKey publicKey = factory.generatePublic(new X509EncodedKeySpec(open.get()));
    KeyPair key = new KeyPair(publicKey, secretKey);
    Optional<KeyPair> both = Optional.of(key);
    String signature = Signing.sign(PROBE, both);
    if (!Signing.signer(PROBE, Signing.named(both), signature, Optional.empty()).intact()) {
      throw new GeneralSecurityException("its private and its public key do not belong together");
    }
    return key;
  }

  /**
   * Reads a public key, from PEM or as it stands in seals, and returns it as it stands there.
   *
   * @throws GeneralSecurityException with a sentence, if it is no Ed25519 key
   */
  public static String readPublic(String text) throws GeneralSecurityException {
    Optional<byte[]> pem = content(text, "PUBLIC KEY");
    String hex =
        pem.map(HexFormat.of()::formatHex).orElse(text.strip().toLowerCase(java.util.Locale.ROOT));
    if (!PUBLIC.matcher(hex).matches()) {
      throw new GeneralSecurityException(
          "it is no public Ed25519 key: neither PEM nor the 88 hexadecimal digits of a seal, which"
              + " begin with 302a300506032b6570032100");
    }
    return hex;
  }

  private static String block(String what, byte[] content) {
    return "-----BEGIN %s-----%n%s%n-----END %s-----%n"
        .formatted(
            what,
            Base64.getMimeEncoder(64, "\n".getBytes(StandardCharsets.US_ASCII))
                .encodeToString(content),
            what)
        .replace("\r\n", "\n");
  }

  private static Optional<byte[]> content(String pem, String what) throws GeneralSecurityException {
    Matcher block =
        Pattern.compile(
                "-----BEGIN %s-----([A-Za-z0-9+/=\\s]*)-----END %s-----".formatted(what, what))
            .matcher(pem);
    if (!block.find()) {
      return Optional.empty();
    }
    try {
      return Optional.of(Base64.getMimeDecoder().decode(block.group(1)));
    } catch (IllegalArgumentException e) {
      throw new GeneralSecurityException("its %s is no Base64".formatted(what), e);
    }
  }
}
