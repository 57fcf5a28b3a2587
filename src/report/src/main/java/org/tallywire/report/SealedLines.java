package org.tallywire.report;

import java.nio.charset.StandardCharsets;
import java.security.GeneralSecurityException;
import java.security.KeyFactory;
import java.security.KeyPair;
import java.security.MessageDigest;
import java.security.PublicKey;
import java.security.Signature;
import java.security.spec.X509EncodedKeySpec;
import java.util.Arrays;
import java.util.HexFormat;
import java.util.Optional;
import java.util.regex.Matcher;
import java.util.regex.Pattern;

/**
 * Ends lines of records with a seal line and checks such a file byte for byte. An unsigned seal
 * shows accidents only: whoever changes the lines can write a new one. Stateless, for any thread.
 */
public final class SealedLines {
  private static final HexFormat HEX = HexFormat.of();
  private static final Pattern SEAL =
      Pattern.compile(
          "(\\{\"seal\":1,\"count\":([0-9]{1,18}),\"head\":\"[0-9]{1,18}:[0-9a-f]{64}\""
              + ",\"key\":\"([0-9a-f]*)\")"
              + ",\"sha256\":\"([0-9a-f]{64})\",\"signature\":\"([0-9a-f]*)\"\\}\n");

  /** What a check found: intact or not, the key that signed (hex, X.509) if any, and a sentence. */
  public record Finding(boolean intact, Optional<String> signer, String sentence) {}

  private SealedLines() {}

  /**
   * The lines with their seal. Each line must end in a line feed; the head is the journal's, as
   * position and SHA-256.
   *
   * @throws IllegalArgumentException if the last line has no end or the head is not of that form
   * @throws GeneralSecurityException if the key is not an Ed25519 key
   */
  public static byte[] seal(byte[] lines, long position, String digest, Optional<KeyPair> key)
      throws GeneralSecurityException {
    if (lines.length > 0 && lines[lines.length - 1] != '\n') {
      throw new IllegalArgumentException("the last line to seal does not end in a line feed");
    }
    String signer = key.isPresent() ? HEX.formatHex(key.get().getPublic().getEncoded()) : "";
    String start =
        "{\"seal\":1,\"count\":"
            + count(lines)
            + ",\"head\":\""
            + position
            + ":"
            + digest
            + "\",\"key\":\""
            + signer
            + "\"";
    byte[] sum = sum(lines, start);
    String signature = "";
    if (key.isPresent()) {
      Signature signing = Signature.getInstance("Ed25519");
      signing.initSign(key.get().getPrivate());
      signing.update(sum);
      signature = HEX.formatHex(signing.sign());
    }
    String end =
        start + ",\"sha256\":\"" + HEX.formatHex(sum) + "\",\"signature\":\"" + signature + "\"}\n";
    if (!SEAL.matcher(end).matches()) {
      throw new IllegalArgumentException("not a head: " + position + ":" + digest);
    }
    byte[] tail = end.getBytes(StandardCharsets.ISO_8859_1);
    byte[] all = Arrays.copyOf(lines, lines.length + tail.length);
    System.arraycopy(tail, 0, all, lines.length, tail.length);
    return all;
  }

  /**
   * Whether a sealed file is as it was sealed, and by the expected key (hex, X.509) if one is
   * given.
   */
  public static Finding check(byte[] file, Optional<String> expected) {
    int start = file.length - 1;
    while (start > 0 && file[start - 1] != '\n') {
      start--;
    }
    byte[] lines = Arrays.copyOf(file, Math.max(0, start));
    String tail =
        new String(file, lines.length, file.length - lines.length, StandardCharsets.ISO_8859_1);
    Matcher seal = SEAL.matcher(tail);
    if (!seal.matches()) {
      return changed("The last line is not a seal: the file was cut or its seal was changed.");
    }
    byte[] sum = sum(lines, seal.group(1));
    if (count(lines) != Long.parseLong(seal.group(2))) {
      return changed(
          "The seal counts " + seal.group(2) + " lines, the file has " + count(lines) + ".");
    }
    if (!HEX.formatHex(sum).equals(seal.group(4))) {
      return changed("The lines or their seal were changed: the digest is another.");
    }
    return signed(sum, seal.group(3), seal.group(5), expected);
  }

  private static Finding signed(
      byte[] sum, String key, String signature, Optional<String> expected) {
    if (expected.isPresent() && !expected.get().equals(key)) {
      return changed("The file is not signed with the key that was given.");
    }
    if (key.isEmpty() && signature.isEmpty()) {
      return new Finding(
          true, Optional.empty(), "Unchanged by accident; unsigned, so intent cannot be excluded.");
    }
    try {
      PublicKey signer =
          KeyFactory.getInstance("Ed25519")
              .generatePublic(new X509EncodedKeySpec(HEX.parseHex(key)));
      Signature checking = Signature.getInstance("Ed25519");
      checking.initVerify(signer);
      checking.update(sum);
      if (checking.verify(HEX.parseHex(signature))) {
        return new Finding(
            true, Optional.of(key), "Unchanged since it was signed with the key " + key + ".");
      }
      return changed("The signature does not belong to these lines.");
    } catch (GeneralSecurityException | IllegalArgumentException e) {
      return changed("The signature or its key cannot be read: " + e.getMessage() + ".");
    }
  }

  private static Finding changed(String sentence) {
    return new Finding(false, Optional.empty(), sentence);
  }

  private static long count(byte[] lines) {
    long count = 0;
    for (byte b : lines) {
      count += b == '\n' ? 1 : 0;
    }
    return count;
  }

  private static byte[] sum(byte[] lines, String start) {
    try {
      MessageDigest sha = MessageDigest.getInstance("SHA-256");
      sha.update(lines);
      return sha.digest(start.getBytes(StandardCharsets.ISO_8859_1));
    } catch (GeneralSecurityException e) {
      throw new IllegalStateException("every Java has SHA-256", e);
    }
  }
}
