package org.tallywire.report;

import java.security.GeneralSecurityException;
import java.security.KeyFactory;
import java.security.KeyPair;
import java.security.MessageDigest;
import java.security.PublicKey;
import java.security.Signature;
import java.security.spec.X509EncodedKeySpec;
import java.util.HexFormat;
import java.util.Optional;

/** Ed25519 signatures of digests, and what a check of one says. Stateless, for any thread. */
final class Signing {

  static final String ALGORITHM = "Ed25519";
  private static final HexFormat HEX = HexFormat.of();

  private Signing() {}

  /** Returns the public key, X.509, as hexadecimal digits; nothing for no key. */
  static String named(Optional<KeyPair> key) {
    return key.map(pair -> HEX.formatHex(pair.getPublic().getEncoded())).orElse("");
  }

  /** Returns the signature as hexadecimal digits; nothing for no key. */
  static String sign(byte[] sum, Optional<KeyPair> key) throws GeneralSecurityException {
    if (key.isEmpty()) {
      return "";
    }
    Signature signing = Signature.getInstance(ALGORITHM);
    signing.initSign(key.get().getPrivate());
    signing.update(sum);
    return HEX.formatHex(signing.sign());
  }

  /** Says who signed a digest that is right, where anybody did. */
  static SealFinding signer(byte[] sum, String key, String signature, Optional<String> expected) {
    if (expected.isPresent() && !expected.get().equals(key)) {
      return SealFinding.changed(
          key.isEmpty()
              ? "The file is unsigned, so it is not signed with the key that was given."
              : "The file is signed with the key %s, not with the one that was given."
                  .formatted(key));
    }
    if (key.isEmpty() && signature.isEmpty()) {
      return new SealFinding(
          true,
          Optional.empty(),
          "Unchanged by accident; the seal is unsigned, so a change on purpose cannot be excluded.");
    }
    try {
      PublicKey signer =
          KeyFactory.getInstance(ALGORITHM)
              .generatePublic(new X509EncodedKeySpec(HEX.parseHex(key)));
      Signature checking = Signature.getInstance(ALGORITHM);
      checking.initVerify(signer);
      checking.update(sum);
      if (checking.verify(HEX.parseHex(signature))) {
        return new SealFinding(
            true, Optional.of(key), "Unchanged since it was signed with the key " + key + ".");
      }
      return SealFinding.changed("The signature does not belong to this content.");
    } catch (GeneralSecurityException | IllegalArgumentException e) {
      return SealFinding.changed(
          "The signature or its key cannot be read: " + e.getMessage() + ".");
    }
  }

  static MessageDigest sha() {
    try {
      return MessageDigest.getInstance("SHA-256");
    } catch (GeneralSecurityException e) {
      throw new IllegalStateException("every Java has SHA-256", e);
    }
  }
}
